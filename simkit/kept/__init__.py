"""What was worked out in; the same again out: the one place that says what is kept, in memory and on disk."""
