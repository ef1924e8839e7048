"""A home in; the cheapest schedule its controller can hold at equal comfort, out."""
