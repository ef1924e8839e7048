"""Files of readings in; a fitted home, a year with its range and a running account out."""
