"""What others published in; what the kit gives beside it out: the table of claims that tests and notebook read."""
