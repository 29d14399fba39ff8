"""A change to a tree: its text spliced and written, a cause renamed or added, and what follows from it."""
