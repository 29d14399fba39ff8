"""From the text of a tree file to a checked tree. Knows no probability and no screen."""
