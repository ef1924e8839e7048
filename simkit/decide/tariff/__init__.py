"""A home and tariffs in; the tariffs ranked, as it is and after shifting, out."""
