"""A home in; which flow temperature and which emitters suit it, out."""
