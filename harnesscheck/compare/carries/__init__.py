"""What wires and fuses carry, held against what they may."""
