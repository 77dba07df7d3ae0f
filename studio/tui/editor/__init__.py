"""The screen on which one sign is made."""
