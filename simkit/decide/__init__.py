"""A home in; what to do next, and what it is worth, out."""
