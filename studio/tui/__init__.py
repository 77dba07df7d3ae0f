"""The terminal studio."""
