"""Results of money and of what to buy in; what is said of them out."""
