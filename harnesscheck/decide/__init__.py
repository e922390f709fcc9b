"""Swap a harness or keep the shell's own: the cheapest sound choice, its work, and its proof on paper."""
