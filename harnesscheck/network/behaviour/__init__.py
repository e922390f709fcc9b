"""What one car does: every state it can be put into, and whether its loads are on there."""
