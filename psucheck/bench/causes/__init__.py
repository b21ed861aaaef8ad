"""What can be wrong with a supply: one cause a function, in plain lists."""
