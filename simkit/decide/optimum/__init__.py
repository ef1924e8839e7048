"""A home in; the least that any schedule could cost, and how near a real one comes, out."""
