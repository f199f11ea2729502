"""Stands in for a quantity, and its notation, where only its shape and its numbers are looked at."""

from __future__ import annotations

Z95 = 1.959963984540054


class Quantity:
    """As `ledger.quantities.quantity.Quantity` holds it, without unit and notation."""

    def __init__(self, text, shape, unit, numbers):
        self.text, self.shape, self.unit, self.numbers = text, shape, unit, numbers


Shape = str
