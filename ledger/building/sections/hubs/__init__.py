"""Hubs and sleeves: how they and wheels sit on their shafts, and the splines between them."""
