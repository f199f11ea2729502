"""Boxes of gears for tests of tooth pairs: rows and inputs as the engine would hand them over."""

from __future__ import annotations

from typing import Any

import numpy as np

from ledger.calculators.tooth_pairs import TOOTH_PAIRS

HALF_WIDTH = 1.959963984540054


def exact(value: float) -> dict[str, float]:
    """A quantity without doubt, as an input with limits gives it."""
    return {"draws": value, "low": value, "high": value, "nominal": value}


def normal(mean: float, half: float, count: int = 10_000) -> dict[str, Any]:
    """A normal quantity whose half-width covers 95 %."""
    draws = mean + half / HALF_WIDTH * np.random.default_rng(7).standard_normal(count)
    return {"draws": draws, "low": mean - half, "high": mean + half, "nominal": mean}


def gear(name: str, ratio: Any, how: str = "rounded", decimals: int = 3, **more: Any) -> dict[str, Any]:
    """A row of gears; a bare number is an exact ratio."""
    stated = ratio if isinstance(ratio, dict) else exact(ratio)
    row = {"gear": name, "ratio": stated, "how": how, "decimals": decimals, "driver": 0, "driven": 0, "shared": True}
    return row | more


def weigh(gears: list[dict[str, Any]], **more: Any) -> dict[str, Any]:
    """The whole calculator, with its defaults where nothing is said."""
    given: dict[str, Any] = {
        "distance": exact(0.0), "module": exact(0.0), "modules": "series I and II", "least": 12, "most": 80,
        "same": 0.3, "spread": 9, "odd": 0.02, "own": 0.2, "small": 1.0,
        "shift_low": -0.5, "shift_high": 1.0, "closeness": 0.01, "pressure": 20.0,
        "helix": 0.0, "beside": [], "asked": "",
    }  # fmt: skip
    return dict(TOOTH_PAIRS.compute(gears=gears, **(given | more)))


def beside(name: str, driver: int = 1, driven: int = 1, chance: float = 1.0) -> dict[str, Any]:
    """A candidate of what lies beside the pairs."""
    return {"name": name, "driver": driver, "driven": driven, "chance": chance}


def pairs_of(found: dict[str, Any], name: str) -> dict[tuple[int, int], float]:
    """Probability by pair of a gear, as the rows show it."""
    rows = (row for row in found["pairs"] if row["gear"] == name)
    return {(row["driving"], row["driven"]): row["probability [%]"] / 100 for row in rows}
