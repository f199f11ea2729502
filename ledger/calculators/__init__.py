"""Inputs to numbers: what calculators are, which there are, and how calculations are run."""
