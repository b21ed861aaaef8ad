"""psucheck: a design checker for the power supplies of valve amplifiers."""

__version__ = "0.1.0"
