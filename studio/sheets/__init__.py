"""Paper: sheets at true size, and what a printer makes of them."""
