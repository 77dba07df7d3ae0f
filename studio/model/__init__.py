"""What a sign is made of and what it is printed on, as values that are complete and checked when made."""
