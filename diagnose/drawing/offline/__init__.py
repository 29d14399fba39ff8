"""One HTML file that walks the trees on a phone, without a network."""
