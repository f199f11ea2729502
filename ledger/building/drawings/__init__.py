"""Drawings as values, the outlines they are made of, and the files they become."""
