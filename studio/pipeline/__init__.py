"""From a sign to its files' bytes: plan, remedies, make, report."""
