"""Calculations that a reader can change and compute again in the browser, by the same functions, without a server."""
