"""Keys, splines and dowel pins of the standards, as data. Lengths in mm."""

from __future__ import annotations

from ledger.mechanics.gear_checks import PINS

# Parallel keys by the diameter of the shaft: up to it, width b, height h, depth in the shaft t1, depth in the hub t2,
# least and greatest length. DIN 6885-1:1968 (ISO 773:1969); seen in copies: makers' tables of 6 to 44 mm (Ganter) and
# from 38 mm (Siemens MD 31.1, 2016, p. 7/3), a public table for the lengths. Depths may be 0.1 mm more, from 22 mm on
# 0.2.
LEAST_SHAFT = 6.0
KEYS = (
    (8.0, 2.0, 2.0, 1.2, 1.0, 6.0, 20.0),
    (10.0, 3.0, 3.0, 1.8, 1.4, 6.0, 36.0),
    (12.0, 4.0, 4.0, 2.5, 1.8, 8.0, 45.0),
    (17.0, 5.0, 5.0, 3.0, 2.3, 10.0, 56.0),
    (22.0, 6.0, 6.0, 3.5, 2.8, 14.0, 70.0),
    (30.0, 8.0, 7.0, 4.0, 3.3, 18.0, 90.0),
    (38.0, 10.0, 8.0, 5.0, 3.3, 22.0, 110.0),
    (44.0, 12.0, 8.0, 5.0, 3.3, 28.0, 140.0),
    (50.0, 14.0, 9.0, 5.5, 3.8, 36.0, 160.0),
    (58.0, 16.0, 10.0, 6.0, 4.3, 45.0, 180.0),
)
# Lengths of such keys up to 50 mm; from memory.
KEY_LENGTHS = (6.0, 8.0, 10.0, 12.0, 14.0, 16.0, 18.0, 20.0, 22.0, 25.0, 28.0, 32.0, 36.0, 40.0, 45.0, 50.0)
# Straight-sided splines N × d × D and their width B: ISO 14:1982, light and medium series up to 56 mm; seen in a copy.
SPLINES = {
    "6 × 11 × 14": (6, 11.0, 14.0, 3.0),
    "6 × 13 × 16": (6, 13.0, 16.0, 3.5),
    "6 × 16 × 20": (6, 16.0, 20.0, 4.0),
    "6 × 18 × 22": (6, 18.0, 22.0, 5.0),
    "6 × 21 × 25": (6, 21.0, 25.0, 5.0),
    "6 × 23 × 26": (6, 23.0, 26.0, 6.0),
    "6 × 23 × 28": (6, 23.0, 28.0, 6.0),
    "6 × 26 × 30": (6, 26.0, 30.0, 6.0),
    "6 × 26 × 32": (6, 26.0, 32.0, 6.0),
    "6 × 28 × 32": (6, 28.0, 32.0, 7.0),
    "6 × 28 × 34": (6, 28.0, 34.0, 7.0),
    "8 × 32 × 36": (8, 32.0, 36.0, 6.0),
    "8 × 32 × 38": (8, 32.0, 38.0, 6.0),
    "8 × 36 × 40": (8, 36.0, 40.0, 7.0),
    "8 × 36 × 42": (8, 36.0, 42.0, 7.0),
    "8 × 42 × 46": (8, 42.0, 46.0, 8.0),
    "8 × 42 × 48": (8, 42.0, 48.0, 8.0),
    "8 × 46 × 50": (8, 46.0, 50.0, 9.0),
    "8 × 46 × 54": (8, 46.0, 54.0, 9.0),
}


def key_of(shaft):
    """Return (width, height, depth in the shaft, depth in the hub, least length, greatest length) of a shaft's key.

    shaft  diameter [mm], above 6 to 58, a float

    Errors: ValueError outside. Source: DIN 6885-1.
    """
    if not LEAST_SHAFT < shaft <= KEYS[-1][0]:
        raise ValueError(
            f"Parallel keys are known for shafts above {LEAST_SHAFT:g} to {KEYS[-1][0]:g} mm; {shaft:g} mm given."
        )
    return next(row[1:] for row in KEYS if shaft <= row[0])


def key_length(shaft, room):
    """Return the longest key of a shaft that a hub covers [mm], 0 where even the shortest is longer.

    shaft  diameter [mm], a float; room  the hub's length [mm], a float
    """
    least, greatest = key_of(shaft)[4:]
    return max((one for one in KEY_LENGTHS if least <= one <= min(greatest, room)), default=0.0)


def stock_pin(diameter):
    """Return whether a dowel pin of that diameter [mm] is one of ISO 8734's, and the nearest that is [mm]."""
    nearest = min(PINS, key=lambda one: (abs(one - diameter), one))
    return abs(nearest - diameter) < 1e-9, nearest
