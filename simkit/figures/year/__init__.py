"""The steps, days and months of a year in; figures and their sentences out."""
