"""What the user says of money and of what is uncertain in; validated sections out."""
