"""Tables of homes in, a report on each out."""
