"""Follow a circuit from a target up to its feed and down to its ground."""
