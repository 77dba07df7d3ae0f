"""How thick an outline is where it is thinnest, and how open where it is narrowest."""
