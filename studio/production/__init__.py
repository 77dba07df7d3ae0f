"""Making signs: one saved, a whole list run, stopped and resumed."""
