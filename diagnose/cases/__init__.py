"""The case store: one vehicle's fault from symptom to outcome, kept durably, and the tallies over cases."""
