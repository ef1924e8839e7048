"""What an offer costs in; what it is worth over the years out."""
