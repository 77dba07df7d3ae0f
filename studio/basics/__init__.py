"""What every folder builds on: errors, lengths and colours."""
