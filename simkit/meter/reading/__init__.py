"""Files of readings in whatever layout in; energy and temperatures by interval, and what was found, out."""
