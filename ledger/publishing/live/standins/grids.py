"""Stands in for the parts of addresses and figures that a drawing of curves uses."""

from __future__ import annotations

from ledger.publishing.live.browser.telling import number_told

FINE = 1e-9
number = number_told


class Link:
    """Words, which lead nowhere here."""

    def __init__(self, words, href):
        self.words, self.href = words, href


class Grid:
    """A small table."""

    def __init__(self, heads, rows):
        self.heads, self.rows = heads, rows
