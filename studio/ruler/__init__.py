"""The printer measured: readings of the ruler page, and the page itself."""
