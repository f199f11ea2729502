"""Every pair on the demo's build sheet meshes: by the checks of the sheet, and by formulas of this file alone."""

from __future__ import annotations

import shutil
from math import cos, pi, radians, sin, sqrt, tan
from pathlib import Path

import pytest
from scipy.optimize import brentq

from ledger.building.sections.gears.meshing import meshes
from ledger.building.sections.gears.wheels import Pair, Wheel
from ledger.building.sheet import build_sheet
from ledger.building.values import Sheet
from ledger.casebook.opening import open_casebook
from ledger.quantities.summary import Summary
from tests.sheets import grid, number

ROOT = Path(__file__).parents[2]
ALPHA = radians(20)
MODULE, COUNTS = 1.5, ((19, 53), (23, 49), (27, 45), (31, 41), (34, 38), (37, 35), (39, 33))
GEARS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "reverse", "reverse behind the idler")


@pytest.fixture(scope="module")
def sheet(tmp_path_factory: pytest.TempPathFactory) -> Sheet:
    """The demo posted as the command posts it, and its sheet."""
    from ledger.cli.place import Place
    from ledger.cli.posting import post_and_report

    folder = tmp_path_factory.mktemp("demo")
    for part in ("entries", "site"):
        shutil.copytree(ROOT / part, folder / part, ignore=shutil.ignore_patterns("scene"))
    post_and_report(Place(folder), quiet=True)
    return build_sheet(open_casebook(folder, count=400))


def wheels_of(gear: str) -> tuple[str, str]:
    """Return the names of a pair's wheels."""
    return {
        "reverse": ("reverse, driving", "reverse idler"),
        "reverse behind the idler": ("reverse idler", "reverse behind the idler, driven"),
    }.get(gear, (f"{gear}, driving", f"{gear}, driven"))


def on_sheet(sheet: Sheet, name: str) -> dict[str, float]:
    """Return the numbers of a wheel as they stand on the sheet."""
    table = grid(sheet, "gear-wheels")
    row = next(one for one in table.rows if one[0] == name)
    return {
        column.name: one.estimate for column, one in zip(table.columns, row, strict=True) if isinstance(one, Summary)
    }


def test_the_sheet_is_complete_enough_to_start(sheet: Sheet) -> None:
    """Nothing is in the way, nothing is undecided; every wheel has face and bore, a drawing, and a size to check by."""
    assert sheet.wrong == ()
    assert sheet.conflicts == ()
    assert sheet.undecided == ()
    assert [row[0] for row in grid(sheet, "gear-pairs").rows] == list(GEARS)
    drawn = {one.name for one in sheet.sketches}
    for row in grid(sheet, "gear-wheels").rows:
        numbers = on_sheet(sheet, str(row[0]))
        assert numbers["face"] > 0
        assert numbers["bore"] > 0
        assert numbers["span"] > 0
        assert numbers["over"] > numbers["tip"]
        assert row[-1] in drawn
    assert drawn >= {"disc-face-1", "disc-face-2", "wall-front", "wall-rear"}
    for ring in ("lower", "upper"):
        kinds = ("dogs-{}", "dogs-{}-profile", "windows-{}", "hub-{}", "sleeve-{}", "sleeve-{}-section")
        assert drawn >= {one.format(ring) for one in kinds}
    assert len([one for one in drawn if one.startswith("fork-")]) == 4
    names = [one.section.name for one in sheet.chapters]
    assert names == [
        "model",
        "gears",
        "shafts",
        "bearings",
        "disc",
        "dogs",
        "forks",
        "hubs",
        "casing",
        "least-features",
        "full-size",
        "parts",
    ]


def test_the_wheels_beside_a_sleeve_have_windows_towards_it(sheet: Sheet) -> None:
    """Odd gears on the output below, even ones and reverse on the input above; each sleeve between its two wheels."""
    expected = [
        *((f"{gear}, driving", face, "windows-upper")
          for gear, face in (("second", "right"), ("fourth", "left"), ("sixth", "right"), ("reverse", "left"))),
        *((f"{gear}, driven", face, "windows-lower")
          for gear, face in (("first", "right"), ("third", "left"), ("fifth", "right"), ("seventh", "left"))),
    ]  # fmt: skip
    assert sorted((row[0], row[1], row[-1]) for row in grid(sheet, "windowed").rows) == sorted(expected)
    bill = {str(row[0]): row for row in grid(sheet, "parts").rows}
    names = [one.name for one in grid(sheet, "parts").columns]
    drawing, note = names.index("drawing"), names.index("note")
    for wheel, face, windows in expected:
        row = next(bill[name] for name in bill if name.startswith(f"wheel {wheel},"))
        assert str(row[drawing]).endswith(f", {windows}")
        assert f"windows in its {face} face" in str(row[note])
    drawn = {one.name for one in sheet.sketches}
    assert {one for row in bill.values() for one in str(row[drawing]).split(", ")} - drawn == {"–"}
    assert "windows" not in str(next(bill[name] for name in bill if name.startswith("wheel second, driven,"))[note])


def test_the_sheet_has_the_counts_that_were_decided(sheet: Sheet) -> None:
    """Seven pairs of seventy-two teeth, module 1.5, which close 54 mm without a shift."""
    for gear, counts in zip(GEARS, COUNTS, strict=False):
        found = tuple(int(on_sheet(sheet, name)["teeth"]) for name in wheels_of(gear))
        assert found == counts
        assert MODULE * sum(found) / 2 == pytest.approx(54)


@pytest.mark.parametrize("gear", GEARS)
def test_every_pair_meshes(sheet: Sheet, gear: str) -> None:
    """One base pitch; shifts that close the distance; tips within the line of action; contact ratio above one."""
    one, two = (on_sheet(sheet, name) for name in wheels_of(gear))
    pitches = {round(pi * wheel["base"] / wheel["teeth"], 6) for wheel in (one, two)}
    assert pitches == {round(pi * MODULE * cos(ALPHA), 6)}
    stated = number(sheet, "gear-pairs", gear, "distance")
    teeth = one["teeth"] + two["teeth"]

    def involute_left(angle: float) -> float:
        return tan(angle) - angle - (tan(ALPHA) - ALPHA) - 2 * (one["shift"] + two["shift"]) * tan(ALPHA) / teeth

    closed = MODULE * teeth / 2 * cos(ALPHA) / cos(brentq(involute_left, 0.05, 1.2))
    assert closed <= stated <= closed + 0.03
    for distance in (closed, closed + 0.03):
        whole = sqrt(distance**2 - ((one["base"] + two["base"]) / 2) ** 2)
        reaches = [sqrt(wheel["tip"] ** 2 - wheel["base"] ** 2) / 2 for wheel in (one, two)]
        assert max(reaches) < whole
        assert (sum(reaches) - whole) / (pi * MODULE * cos(ALPHA)) > 1.2
        for wheel, mate, reach in ((one, two, reaches[1]), (two, one, reaches[0])):
            assert distance - (wheel["tip"] + mate["root"]) / 2 > 0.1 * MODULE
            begins = (1 - (wheel["generated"])) * MODULE / sin(ALPHA)
            assert whole - reach > wheel["base"] / 2 * tan(ALPHA) - begins


@pytest.mark.parametrize("gear", GEARS)
def test_every_pair_passes_the_checks_of_the_sheet(sheet: Sheet, gear: str) -> None:
    """Wheels made anew from the numbers on the sheet, at the nominal distance, with their thinner teeth."""
    pair = made_of(sheet, gear)
    assert [one for one in meshes(pair) if one.serious] == []


def made_of(sheet: Sheet, gear: str) -> Pair:
    """Return a pair as the sheet's numbers say."""
    wheels = []
    for name in wheels_of(gear):
        one = on_sheet(sheet, name)
        thinning = (one["shift"] - one["generated"]) * 2 * MODULE * tan(ALPHA)
        wheels.append(Wheel(MODULE, int(one["teeth"]), one["shift"], one["face"], tip=one["tip"], thinning=thinning))
    return Pair(wheels[0], wheels[1], MODULE * (wheels[0].teeth + wheels[1].teeth) / 2)


def test_wheels_of_other_pairs_do_not_mesh_on_these_shafts(sheet: Sheet) -> None:
    """The first pinion with the second wheel has 68 teeth, and the shafts are three millimetres too far apart."""
    first, second = made_of(sheet, "first"), made_of(sheet, "second")
    problems = meshes(Pair(first.first, second.second, 54.0))
    assert any(one.serious and one.about == "centre distance" for one in problems)


def test_a_tip_that_is_too_long_is_found(sheet: Sheet) -> None:
    """A wheel of 53 teeth with tips three millimetres higher digs into its pinion."""
    pair = made_of(sheet, "first")
    longer = Wheel(MODULE, 53, 0.0, 15.0, tip=pair.second.tip + 3.0, thinning=pair.second.thinning)
    assert any(one.serious for one in meshes(Pair(pair.first, longer, 54.0)))


def test_the_parts_of_the_sheet_fit_together(sheet: Sheet) -> None:
    """Gears stand opposite each other, the rear washers have room, sleeves clear their gears, tracks their limit."""
    for row in grid(sheet, "opposite").rows:
        overlap = number(sheet, "opposite", str(row[0]), "overlap")
        assert overlap > 0.9 * on_sheet(sheet, wheels_of(str(row[0]))[0])["face"]
    for shaft in ("input", "output"):
        assert number(sheet, "shafts", shaft, "left") == pytest.approx(153.25 - 152.2, abs=0.05)
        assert number(sheet, "shafts", shaft, "slack") == pytest.approx(153.5 - 153.25, abs=0.02)
    dogs = {(row[0], row[1]): row for row in grid(sheet, "dogs").rows}
    assert len(dogs) == 4
    assert number(sheet, "dogs", "lower", "clear") == pytest.approx((13.2 - 6.4) / 2 - 3)
    for row in grid(sheet, "disc-tracks").rows:
        assert number(sheet, "disc-tracks", str(row[0]), "pressure_angle") < 35
    x, y = (number(sheet, "shaft-axes", "reverse idler", one) for one in ("x", "y"))
    assert sqrt(x**2 + y**2) == pytest.approx(36, abs=0.02)
    assert sqrt((x - 54) ** 2 + y**2) == pytest.approx(49.5, abs=0.02)


def test_evidence_stands_beside_the_numbers(sheet: Sheet) -> None:
    """The distance of the shafts lies within what was measured at three tenths; the thin output shaft does not."""
    inside = {str(row[0]): str(row[5]) for row in grid(sheet, "full-size").rows}
    assert inside["Distance of the shafts"] == "yes"
    assert inside["third, driven: tip diameter"] == "yes"
    assert inside["output, first: diameter"].startswith("no,")
