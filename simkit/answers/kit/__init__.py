"""What is said of the kit itself."""
