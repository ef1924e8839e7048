"""Results of single questions in; what the terminal and `--json` show of each out."""
