"""What the user says of a tariff or types in of a bill in; validated terms out."""
