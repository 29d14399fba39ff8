"""Looking back on past cases: how good the ranking was, and what has changed."""
