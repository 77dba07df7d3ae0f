"""Signs on paper: which sheets they take, what stands on each, and the PDF that is printed."""
