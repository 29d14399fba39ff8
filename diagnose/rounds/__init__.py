"""Rounds: in which order their tasks are done, what fits into an hour, what is due, what comes of it."""
