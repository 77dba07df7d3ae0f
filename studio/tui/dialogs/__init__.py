"""Questions and help."""
