"""Character cells and what the terminal can show; shared by commands and studio."""
