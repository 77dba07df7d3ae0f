"""The studio at the press: the step timer, and a printer measured reading by reading."""
