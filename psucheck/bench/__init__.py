"""At the bench: what a meter should read at each test point, how far it may be off, and what was read."""
