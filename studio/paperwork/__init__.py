"""What is printed beside a sign: placement template, press card, approval and hanging pages, as values to be drawn."""
