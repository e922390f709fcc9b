"""Records of one car: what a netlist says, and where it says it."""
