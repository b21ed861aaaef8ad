"""What the user sees: tables and JSON."""
