"""Order lists: a file of names read into rows."""
