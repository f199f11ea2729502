"""Where the faces of a span touch, for whoever tries all spans."""

from __future__ import annotations

from math import cos, hypot, pi

from ledger.mechanics import gear_geometry, tooth_sizes

PRESSURE = pi / 9


def span_touch(teeth: int, shift: float, spanned: float, helix: float = 0.0) -> float:
    """The diameter on which the faces of a span touch, both at one height [modules]: √(d_b² + (W_k cos β_b)²)."""
    lean = gear_geometry.base_helix(PRESSURE, helix)
    across = tooth_sizes.span(1.0, teeth, shift, spanned, PRESSURE, helix) * cos(lean)
    return hypot(gear_geometry.base_diameter(1.0, teeth, PRESSURE, helix), across)
