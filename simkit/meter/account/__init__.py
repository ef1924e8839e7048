"""A fitted home and its readings in; a running account, and what a change did, out."""
