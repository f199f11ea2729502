"""Stands in for the module of what Python will do some day, of which annotations alone are asked for."""

annotations = True
