"""What was found, for people and for programs."""
