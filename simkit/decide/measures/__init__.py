"""A home and what could be done to it in; measures ranked, overlaps removed, out."""
