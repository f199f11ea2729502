"""Stands in for a quantity where only its shape and its numbers are looked at."""

from __future__ import annotations


class Quantity:
    """As `ledger.quantities.quantity.Quantity` holds it, without unit and notation."""

    def __init__(self, text, shape, unit, numbers):
        self.text, self.shape, self.unit, self.numbers = text, shape, unit, numbers


Shape = str
