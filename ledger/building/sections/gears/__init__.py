"""Wheels: their data and teeth, whether pairs mesh, their blanks and drawings."""
