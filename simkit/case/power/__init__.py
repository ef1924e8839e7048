"""What the user says of panels, battery and car in; validated sections out."""
