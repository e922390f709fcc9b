"""What differs between two aligned cars, and what that does."""
