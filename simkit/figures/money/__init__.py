"""Money in tables in; figures and their sentences out."""
