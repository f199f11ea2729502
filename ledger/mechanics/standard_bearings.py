"""Boundary dimensions of bearings, as data, and the one nearest to a shaft. Dimensions only, in mm; no load ratings.

Each row is (name, bore, outside diameter, width). The bore of a drawn cup is that within its needles, on the shaft.
"""

from __future__ import annotations

from ledger.mechanics.maths import absolute, every, where

# ISO 15, dimension series 02. From 10 to 80 mm bore seen in copies of makers' tables; 6213, 6215, and below 10 mm and
# above 80 mm from memory.
SERIES_02 = (
    ("623", 3, 10, 4), ("624", 4, 13, 5), ("625", 5, 16, 5), ("626", 6, 19, 6), ("627", 7, 22, 7), ("628", 8, 24, 8),
    ("629", 9, 26, 8),
    ("6200", 10, 30, 9), ("6201", 12, 32, 10), ("6202", 15, 35, 11), ("6203", 17, 40, 12), ("6204", 20, 47, 14),
    ("6205", 25, 52, 15), ("6206", 30, 62, 16), ("6207", 35, 72, 17), ("6208", 40, 80, 18), ("6209", 45, 85, 19),
    ("6210", 50, 90, 20), ("6211", 55, 100, 21), ("6212", 60, 110, 22), ("6213", 65, 120, 23),
    ("6214", 70, 125, 24), ("6215", 75, 130, 25), ("6216", 80, 140, 26), ("6217", 85, 150, 28), ("6218", 90, 160, 30),
    ("6219", 95, 170, 32), ("6220", 100, 180, 34),
)  # fmt: skip
# ISO 15, dimension series 10. As above; 6013 and 6015 from memory.
SERIES_10 = (
    ("604", 4, 12, 4), ("605", 5, 14, 5), ("606", 6, 17, 6), ("607", 7, 19, 6), ("608", 8, 22, 7), ("609", 9, 24, 7),
    ("6000", 10, 26, 8), ("6001", 12, 28, 8), ("6002", 15, 32, 9), ("6003", 17, 35, 10), ("6004", 20, 42, 12),
    ("6005", 25, 47, 12), ("6006", 30, 55, 13), ("6007", 35, 62, 14), ("6008", 40, 68, 15), ("6009", 45, 75, 16),
    ("6010", 50, 80, 16), ("6011", 55, 90, 18), ("6012", 60, 95, 18), ("6013", 65, 100, 18),
    ("6014", 70, 110, 20), ("6015", 75, 115, 20), ("6016", 80, 125, 22), ("6017", 85, 130, 22), ("6018", 90, 140, 24),
    ("6019", 95, 145, 24), ("6020", 100, 150, 24),
)  # fmt: skip
# ISO 15, dimension series 49, needle rollers with inner ring (ISO 1206). Seen in copies.
NEEDLE_49 = (
    ("NA4900", 10, 22, 13), ("NA4901", 12, 24, 13), ("NA4902", 15, 28, 13), ("NA4903", 17, 30, 13),
    ("NA4904", 20, 37, 17), ("NA4905", 25, 42, 17), ("NA4906", 30, 47, 17), ("NA4907", 35, 55, 20),
    ("NA4908", 40, 62, 22), ("NA4909", 45, 68, 22), ("NA4910", 50, 72, 22),
)  # fmt: skip
# ISO 3245, drawn cups with open ends, one width for each bore. HK0808, HK1010, HK1212, HK1512, HK1612, HK2016,
# HK2516, HK3016, HK3520 and HK4020 seen in copies; the others from memory.
DRAWN_CUP = (
    ("HK0306", 3, 6.5, 6), ("HK0408", 4, 8, 8), ("HK0509", 5, 9, 9), ("HK0608", 6, 10, 8), ("HK0709", 7, 11, 9),
    ("HK0808", 8, 12, 8), ("HK0910", 9, 13, 10), ("HK1010", 10, 14, 10), ("HK1212", 12, 16, 12),
    ("HK1312", 13, 19, 12), ("HK1412", 14, 20, 12), ("HK1512", 15, 21, 12), ("HK1612", 16, 22, 12),
    ("HK1712", 17, 23, 12), ("HK1812", 18, 24, 12), ("HK2016", 20, 26, 16), ("HK2216", 22, 28, 16),
    ("HK2516", 25, 32, 16), ("HK2820", 28, 35, 20), ("HK3016", 30, 37, 16), ("HK3520", 35, 42, 20),
    ("HK4020", 40, 47, 20), ("HK4520", 45, 52, 20), ("HK5020", 50, 58, 20),
)  # fmt: skip
# ISO 492, normal class: lower deviation of the mean bore [µm]; the upper is 0. From memory.
BORE_STEPS = ((10.0, -8.0), (18.0, -8.0), (30.0, -10.0), (50.0, -12.0), (80.0, -15.0), (120.0, -20.0))

CUP = "drawn cup"
KINDS = {
    "ball, series 02": SERIES_02,
    "ball, series 10": SERIES_10,
    "needle, series 49": NEEDLE_49,
    CUP: DRAWN_CUP,
}


def nearest_bore(shaft, kind):
    """Return the bore nearest to a shaft among bearings of a kind [mm]; halfway, the smaller.

    shaft  diameter [mm], from half the smallest bore of that kind to a fifth above the greatest
    kind   a key of KINDS

    Errors: ValueError for an unknown kind, and outside that range.
    """
    rows = _rows(kind)
    low, high = rows[0][1] / 2.0, rows[-1][1] * 1.2
    if not every((shaft >= low) & (shaft <= high)):
        raise ValueError(f"{kind}: bores reach from {rows[0][1]} to {rows[-1][1]} mm; none is near this shaft.")
    nearest = rows[0][1] + 0.0 * shaft
    for row in rows[1:]:
        nearest = where(absolute(row[1] - shaft) < absolute(nearest - shaft), row[1], nearest)
    return nearest + 0.0


def bearing_on(bore, kind):
    """Return (name, bore, outside diameter, width) of the bearing of a kind with that bore [mm]; ValueError if none."""
    for row in _rows(kind):
        if row[1] == bore:
            return row
    raise ValueError(f"{kind}: no bearing with a bore of {bore:g} mm.")


def bore_limits(bore):
    """Return lower and upper deviation of the bore of a rolling bearing's inner ring, normal class [µm].

    bore  [mm], from 2.5 to 120

    Unlike those of H holes they lie below the nominal size, so a shaft k6 is held everywhere.
    Source: ISO 492, normal class, mean bore diameter; from memory.
    """
    if not every((bore >= 2.5) & (bore <= BORE_STEPS[-1][0])):
        raise ValueError(f"Bores of bearings have known deviations from 2.5 to {BORE_STEPS[-1][0]:g} mm.")
    lower = BORE_STEPS[-1][1]
    for step, value in BORE_STEPS[-2::-1]:
        lower = where(bore <= step, value, lower)
    return lower + 0.0 * bore, 0.0 * bore


def _rows(kind):
    if kind not in KINDS:
        raise ValueError(f"{kind!r} given; expected one of {', '.join(KINDS)}.")
    return KINDS[kind]
