"""Where the lettering goes, and how large it may be."""
