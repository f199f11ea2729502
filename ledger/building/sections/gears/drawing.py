"""The drawing of a wheel, by its outline."""

from __future__ import annotations

from ledger.building.drawings.drawing import BORE, OUTLINE, REFERENCE, Circle, Drawing, Line
from ledger.building.sections.gears.tooth_shape import gear_outline
from ledger.building.sections.gears.wheels import Wheel


def gear_drawing(wheel: Wheel, title: str = "", tolerance: float | None = None) -> Drawing:
    """Return a wheel about its middle: layers outline, bore (where it has one) and reference, its reference circle.

    Errors: as of `tooth_shape.gear_outline`.
    """
    shape = gear_outline(wheel, tolerance)
    circles = [Circle(BORE, 0.0, 0.0, shape.bore / 2.0)] if shape.bore else []
    circles.append(Circle(REFERENCE, 0.0, 0.0, shape.reference / 2.0))
    named = title or f"Wheel of {wheel.teeth} teeth, module {wheel.module:g} mm"
    return Drawing(named, (Line(OUTLINE, shape.points, True),), tuple(circles))
