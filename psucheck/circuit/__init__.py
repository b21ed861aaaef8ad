"""A supply in a condition as a network of elements, and that network as a netlist."""
