"""Results in; what is said of them out: one `Answer` for each, which every face shows."""
