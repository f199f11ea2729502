"""Rivals to confidences: priors, notes, doubt, feasibility and predictions, weighed as one."""
