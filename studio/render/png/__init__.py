"""PNG files packed in bands, so that a changed name costs only what it touches."""
