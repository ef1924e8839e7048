"""A case in; the same home without what tells whose it is, out."""
