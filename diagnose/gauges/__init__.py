"""Readings turned into derived values: volts into charge, weight into hours of gas. Pure functions."""
