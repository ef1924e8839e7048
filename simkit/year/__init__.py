"""A case in; its simulated year, and what is read off a year, out."""
