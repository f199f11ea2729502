"""Rows of the tables of bearings, by the bearing's name."""

from __future__ import annotations

from ledger.mechanics.standard_bearings import KINDS

BEARINGS = {name: tuple(sizes) for rows in KINDS.values() for name, *sizes in rows}
