"""How the texts of a sign are composed: where lines break, how large each stands, how much air is left round them."""
