"""What works in one car and not in the other."""
