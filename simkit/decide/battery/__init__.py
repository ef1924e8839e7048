"""A home with or without a battery in; what one saves, by size and beside panels, out."""
