"""A table of homes in; a report on each, and one answer over all, out."""
