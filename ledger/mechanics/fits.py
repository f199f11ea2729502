"""Tolerances and fits of holes and shafts up to 180 mm: standard tolerances, deviations, clearances.

Sizes in mm, tolerances, deviations and clearances in µm. Values are floats or arrays of one shape.

The standard made its tables from formulas and rounded them by rules that favour round numbers, most of all for small
sizes: 16 i is 14.4 µm at 6 to 10 mm, and the table has 15. So the tables stand here as data and are what the functions
return; a test holds them against the formulas.

Source: ISO 286-1:2010, Tables 1 to 5; the numbers were seen in copies: Narayana, Kannaiah and Reddy, Machine Drawing,
Tables 15.1, 15.2 and 15.4, and a public table of IT5 to IT11.
"""

from __future__ import annotations

from ledger.mechanics.maths import every, where

LARGEST = 180.0
STEPS = (3, 6, 10, 18, 30, 50, 80, 120, 180)
GRADES = {
    5: (4, 5, 6, 8, 9, 11, 13, 15, 18),
    6: (6, 8, 9, 11, 13, 16, 19, 22, 25),
    7: (10, 12, 15, 18, 21, 25, 30, 35, 40),
    8: (14, 18, 22, 27, 33, 39, 46, 54, 63),
    9: (25, 30, 36, 43, 52, 62, 74, 87, 100),
    10: (40, 48, 58, 70, 84, 100, 120, 140, 160),
    11: (60, 75, 90, 110, 130, 160, 190, 220, 250),
}
# Deviations change in finer steps than tolerances.
FINE = (3, 6, 10, 18, 30, 40, 50, 65, 80, 100, 120, 140, 160, 180)
UPPER = {
    "c": (-60, -70, -80, -95, -110, -120, -130, -140, -150, -170, -180, -200, -210, -230),
    "d": (-20, -30, -40, -50, -65, -80, -80, -100, -100, -120, -120, -145, -145, -145),
    "e": (-14, -20, -25, -32, -40, -50, -50, -60, -60, -72, -72, -85, -85, -85),
    "f": (-6, -10, -13, -16, -20, -25, -25, -30, -30, -36, -36, -43, -43, -43),
    "g": (-2, -4, -5, -6, -7, -9, -9, -10, -10, -12, -12, -14, -14, -14),
    "h": (0,) * 14,
}
LOWER = {
    "k": (0, 1, 1, 1, 2, 2, 2, 2, 2, 3, 3, 3, 3, 3),
    "m": (2, 4, 6, 7, 8, 9, 9, 11, 11, 13, 13, 15, 15, 15),
    "n": (4, 8, 10, 12, 15, 17, 17, 20, 20, 23, 23, 27, 27, 27),
    "p": (6, 12, 15, 18, 22, 26, 26, 32, 32, 37, 37, 43, 43, 43),
    "r": (10, 15, 19, 23, 28, 34, 34, 41, 43, 51, 54, 63, 65, 68),
    "s": (14, 19, 23, 28, 35, 43, 43, 53, 59, 71, 79, 92, 100, 108),
}
TIGHT, TIGHT_GRADES, KEYWAY = ("K", "M", "N", "P"), (6, 7), "N9"


def standard_tolerance(size, grade):
    """Return the standard tolerance of a size [µm], by table.

    size   [mm], above 0 to 180
    grade  IT grade, 5 to 11
    """
    if grade not in GRADES:
        raise ValueError(f"Grades are known from IT5 to IT11; IT{grade} given.")
    return _at(size, STEPS, GRADES[grade])


def limits(size, zone):
    """Return lower and upper deviation of a tolerance class [µm].

    size  [mm], above 0 to 180
    zone  a shaft such as "g6" (c to h, js, k, m, n, p, r, s) or a hole such as "H7" (C to H, JS; K, M, N, P in grades
          6 and 7, and N9 for keyways)

    Shafts c to h state the upper deviation, k to s the lower one, the grade the other; js is half the grade either way.
    A hole C to H has the opposite of the shaft's deviation as its lower one. A hole K to P has as its upper one
    ES = Δ − ei, Δ = IT_n − IT_(n−1), 0 up to 3 mm, so that K7/h6 is as tight as H7/k6; of N9 it is 0 above 3 mm (from
    memory). k is meant for grades 4 to 7.

    Errors: ValueError for an unknown class and a size beyond the table.
    """
    letters = zone.rstrip("0123456789")
    number = zone[len(letters) :]
    if not number or letters.lower() not in (*UPPER, *LOWER, "js") or letters not in (letters.lower(), letters.upper()):
        raise ValueError(f"Tolerance class {zone!r} is not known; expected one such as H7 or g6.")
    width = standard_tolerance(size, int(number))
    if letters.lower() == "js":
        return -width / 2.0, width / 2.0
    if letters in UPPER:
        upper = _at(size, FINE, UPPER[letters])
        return upper - width, upper
    if letters in LOWER:
        if letters == "k" and int(number) > 7:
            raise ValueError(f"Shafts k are known for grades up to 7; {zone} given.")
        lower = _at(size, FINE, LOWER[letters])
        return lower, lower + width
    if letters in TIGHT:
        if zone == KEYWAY:
            upper = where(size <= STEPS[0], -4.0, 0.0 * size)
            return upper - width, upper
        if int(number) not in TIGHT_GRADES:
            raise ValueError(f"Holes K to P are known in grades 6 and 7; {zone} given.")
        finer = width - standard_tolerance(size, int(number) - 1)
        upper = where(size <= STEPS[0], 0.0, finer) - _at(size, FINE, LOWER[letters.lower()])
        return upper - width, upper
    if letters.lower() not in UPPER:
        raise ValueError(f"Holes are known from C to H, JS, and K, M, N, P; {zone} given.")
    lower = 0.0 - _at(size, FINE, UPPER[letters.lower()])
    return lower, lower + width


def fit(size, hole, shaft):
    """Return least and greatest clearance of a fit [µm]; below zero it is interference.

    least = EI − es, greatest = ES − ei

    Errors: as `limits`; and for classes of two holes or two shafts.
    """
    if not hole[:1].isupper() or not shaft[:1].islower():
        raise ValueError(f"{hole}/{shaft} given; expected a hole and a shaft such as H7/g6.")
    hole_lower, hole_upper = limits(size, hole)
    shaft_lower, shaft_upper = limits(size, shaft)
    return hole_lower - shaft_upper, hole_upper - shaft_lower


def seat(size, bore, shaft):
    """Return least and greatest clearance of a shaft in a bearing's bore [µm]; below zero it is interference.

    As `fit`, with the bore's own deviations in place of those of a hole: an H hole lies above its size, a bearing's
    bore below it.

    bore   lower and upper deviation of the bearing's bore, see `standard_bearings.bore_limits`
    shaft  class of the shaft, as in `limits`
    """
    lower, upper = limits(size, shaft)
    return bore[0] - upper, bore[1] - lower


def _at(size, steps, values):
    if not every((size > 0) & (size <= LARGEST)):
        raise ValueError(f"Fits are known for sizes above 0 to {LARGEST:g} mm.")
    found = values[-1]
    for step, value in zip(reversed(steps[:-1]), reversed(values[:-1]), strict=True):
        found = where(size <= step, value, found)
    return found + 0.0 * size
