"""What the user says of place, building and people in; validated sections out."""
