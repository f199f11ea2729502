"""Figures for a talk or a post: one photograph, comparison or drawing on a sheet of its own."""
