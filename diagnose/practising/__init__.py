"""Hidden faults for learners: a vehicle that answers, what was chosen, and how far that is from the best."""
