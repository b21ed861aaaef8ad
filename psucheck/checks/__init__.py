"""The rules: each reads figures and ratings and yields findings."""
