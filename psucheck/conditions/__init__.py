"""The operating conditions, and what each asks of the engine."""
