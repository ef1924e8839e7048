"""One file for each command: arguments in, something printed or written out."""
