"""What the user says of heating and hot water in; validated sections out."""
