"""The thread that fits and checks while the maker types."""
