"""Parts of a stack, as a calculator is given them; shared by tests."""

from __future__ import annotations

from typing import Any


def part(
    name: str,
    nominal: float,
    plus: float = 0.0,
    minus: float | None = None,
    *,
    draws: Any = None,
    quantity: Any = 1.0,
    direction: str = "adds",
    varies: str = "piece by piece",
) -> dict[str, Any]:
    """A part of a drawing's size with its deviations up and down, both positive; `minus` left out is as `plus`."""
    low, high = nominal - (plus if minus is None else minus), nominal + plus
    length = {"low": low, "high": high, "nominal": nominal, "draws": nominal if draws is None else draws}
    return {"part": name, "length": length, "quantity": quantity, "direction": direction, "varies": varies}
