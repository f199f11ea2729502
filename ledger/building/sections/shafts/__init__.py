"""Shafts: where parts stand along and across them, and what they run in."""
