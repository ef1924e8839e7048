"""A validated case in, what the kernel is told about its home out: series on the time axis and constants."""
