"""The sign on paper: which sheets it takes, where they are joined, and their PDF."""
