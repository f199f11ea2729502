"""Printed keys, splines and limits that the build sheet takes from standards."""

from __future__ import annotations

import pytest

from ledger.mechanics.fits import fit, limits
from ledger.mechanics.gear_checks import PINS
from ledger.mechanics.standard_parts import KEY_LENGTHS, SPLINES, key_length, key_of, stock_pin


@pytest.mark.parametrize(
    ("shaft", "printed"),
    [
        (8, (2, 2, 1.2, 1.0)),
        (9, (3, 3, 1.8, 1.4)),
        (10, (3, 3, 1.8, 1.4)),
        (11, (4, 4, 2.5, 1.8)),
        (12, (4, 4, 2.5, 1.8)),
        (13, (5, 5, 3.0, 2.3)),
        (17, (5, 5, 3.0, 2.3)),
        (18, (6, 6, 3.5, 2.8)),
        (22, (6, 6, 3.5, 2.8)),
        (24, (8, 7, 4.0, 3.3)),
        (30, (8, 7, 4.0, 3.3)),
        (38, (10, 8, 5.0, 3.3)),
        (44, (12, 8, 5.0, 3.3)),
        (50, (14, 9, 5.5, 3.8)),
        (58, (16, 10, 6.0, 4.3)),
    ],
)
def test_keys(shaft: float, printed: tuple[float, ...]) -> None:
    """DIN 6885-1, b, h, t1, t2: a maker's extract up to 44 mm (Ganter), Siemens MD 31.1 (2016), p. 7/3, above; seen."""
    assert key_of(float(shaft))[:4] == printed


@pytest.mark.parametrize(("shaft", "shortest", "longest"), [(7, 6, 20), (10, 6, 36), (12, 8, 45), (17, 10, 56)])
def test_lengths_of_keys(shaft: float, shortest: float, longest: float) -> None:
    """A public table of DIN 6885 gives least and greatest length by width; the steps between them are from memory."""
    assert key_of(float(shaft))[4:] == (shortest, longest)
    assert key_length(float(shaft), shortest - 0.1) == 0
    assert key_length(float(shaft), shortest) == shortest
    assert key_length(float(shaft), 1000.0) == max(one for one in KEY_LENGTHS if one <= longest)


@pytest.mark.parametrize("shaft", [6.0, 5.0, 58.1])
def test_shafts_without_a_key_are_refused(shaft: float) -> None:
    """The table begins above 6 mm; what is known here ends at 58 mm."""
    with pytest.raises(ValueError, match=r"above 6 to 58 mm"):
        key_of(shaft)


@pytest.mark.parametrize(
    "printed",
    ["6×11×14 3", "6×13×16 3.5", "6×16×20 4", "6×18×22 5", "6×21×25 5", "6×23×26 6", "6×23×28 6", "6×26×30 6",
     "6×26×32 6", "6×28×32 7", "6×28×34 7", "8×32×36 6", "8×32×38 6", "8×36×40 7", "8×36×42 7", "8×42×46 8",
     "8×42×48 8", "8×46×50 9", "8×46×54 9"],
)  # fmt: skip
def test_splines(printed: str) -> None:
    """ISO 14:1982 (BS 5686:1986), N × d × D and B, light and medium series; a public table, seen."""
    name, width = printed.split()
    assert SPLINES[name.replace("×", " × ")] == (*(float(one) for one in name.split("×")), float(width))


def test_there_are_no_other_splines() -> None:
    """So that the list above holds all of them."""
    assert len(SPLINES) == 19


@pytest.mark.parametrize(
    ("size", "printed"),
    [
        (3, {"K7": (-10, 0), "M7": (-12, -2), "N7": (-14, -4)}),
        (6, {"K7": (-9, 3), "M7": (-12, 0), "N7": (-16, -4)}),
        (10, {"K7": (-10, 5), "M7": (-15, 0), "N7": (-19, -4), "K6": (-7, 2), "M6": (-12, -3), "N6": (-16, -7)}),
        (18, {"K7": (-12, 6), "M7": (-18, 0), "N7": (-23, -5), "K6": (-9, 2), "M6": (-15, -4), "N6": (-20, -9)}),
        (30, {"K7": (-15, 6), "M7": (-21, 0), "N7": (-28, -7), "K6": (-11, 2), "M6": (-17, -4), "N6": (-24, -11)}),
        (50, {"K7": (-18, 7), "M7": (-25, 0), "N7": (-33, -8), "K6": (-13, 3), "M6": (-20, -4), "N6": (-28, -12)}),
        (80, {"K7": (-21, 9), "M7": (-30, 0), "N7": (-39, -9)}),
        (120, {"K7": (-25, 10), "M7": (-35, 0), "N7": (-45, -10)}),
    ],
)
def test_holes_that_hold_a_shaft(size: float, printed: dict[str, tuple[int, int]]) -> None:
    """ISO 286-2, in µm: a parts maker's technical reference, p. 281, table 6, tolerances of holes; seen."""
    for zone, expected in printed.items():
        assert limits(float(size), zone) == expected, zone


def test_both_systems_of_fits_are_as_tight() -> None:
    """K7/h6 leaves as much as H7/k6, and so do N7/h6 and P7/h6: the rule by which the holes are made, ISO 286-1."""
    for size in (5.0, 8.0, 12.0, 25.0, 40.0):
        for letter in "knp":
            assert fit(size, f"{letter.upper()}7", "h6") == fit(size, "H7", f"{letter}6")


def test_a_ground_rod() -> None:
    """h6 and h9 of round bars, in mm: a public table of ISO h tolerances, seen."""
    printed = {3: (6, 25), 6: (8, 30), 10: (9, 36), 18: (11, 43), 30: (13, 52), 50: (16, 62)}
    for size, (six, nine) in printed.items():
        assert limits(float(size), "h6") == (-six, 0)
        assert limits(float(size), "h9") == (-nine, 0)


def test_tight_holes_of_other_grades_are_refused() -> None:
    """The rule for K to P holds for fine grades; a keyway's N9 has a rule of its own (from memory)."""
    with pytest.raises(ValueError, match="grades 6 and 7"):
        limits(10.0, "P9")
    assert limits(4.0, "N9") == (-30, 0)
    assert limits(2.0, "N9") == (-29, -4)


def test_dowel_pins_reach_from_one_to_twenty_millimetres() -> None:
    """The scope of ISO 8734:1997, seen; the sizes between are from memory. 2.4 mm is none, 2.5 is."""
    assert (PINS[0], PINS[-1]) == (1.0, 20.0)
    assert stock_pin(2.4) == (False, 2.5)
    assert stock_pin(2.5) == (True, 2.5)
    assert stock_pin(30.0) == (False, 20.0)
