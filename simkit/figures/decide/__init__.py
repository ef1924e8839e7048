"""What was decided in tables in; figures and their sentences out."""
