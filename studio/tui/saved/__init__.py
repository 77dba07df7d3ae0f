"""What is kept from one start to the next."""
