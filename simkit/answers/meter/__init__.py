"""Results of the meter in; what is said of each out."""
