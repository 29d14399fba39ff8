"""From a fault tree and what past cases taught to a ranking, the next step and the whole route; pure."""
