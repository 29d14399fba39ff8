"""From a tree and a tally to a ranking, a next step and a route. Pure: knows no file and no screen."""
