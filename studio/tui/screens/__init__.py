"""See the module map in DEVELOPERS.md."""
