"""The demo's measurements, made again from the picks that they keep, against what its pictures and sound were made of.

The truth is read here as plain numbers from the truth files; nothing of the scene's own modules is used.
"""

from __future__ import annotations

import json
from math import hypot, sqrt
from pathlib import Path

import pytest

from ledger.casebook.measuring import measured_anew
from ledger.entries.models import Measurement, Source
from ledger.entries.reading import read_text
from ledger.photo.telling import agrees

ROOT = Path(__file__).resolve().parents[2]
SCENE = ROOT / "site" / "scene"
PARTS = json.loads((SCENE / "truth.json").read_text("utf-8"))["parts"]
CHANGE = next(one for one in json.loads((SCENE / "sound-truth.json").read_text("utf-8"))["changes"] if one["from"] == 3)


def apart(one: str, other: str) -> float:
    """The distance of two bearing caps' middles [mm]."""
    return hypot(PARTS[one]["x"] - PARTS[other]["x"], PARTS[one]["z"] - PARTS[other]["z"])


def along_the_rule() -> float:
    """The opening's width where the rule's upper edge crosses its rounded corners [mm]."""
    opening, rule = PARTS["opening"], PARTS["opening-rule"]
    radius = opening["corner_radius"]
    above = rule["top"] - opening["bottom"]
    cut = radius - sqrt(radius**2 - (radius - above) ** 2)
    return opening["length"] - 2 * cut


TRUTH = {
    "sleeve-groove-width": PARTS["S1"]["groove_width"],
    "face-second": PARTS["wheel-2"]["face"],
    "face-third": PARTS["wheel-3"]["face"],
    "centre-distance": apart("cap-front-low", "cap-front-high"),
    "side-bulge-length": PARTS["bulge"]["length"],
    "side-bulge-diameter": PARTS["bulge"]["diameter"],
    "round-cover": 2 * PARTS["round-cover"]["radius"],
    "bolts-round-the-cover": PARTS["round-cover"]["bolts"],
    "opening-along-the-rule": along_the_rule(),
    "ten-centimetres-of-the-rule": 100.0,
    "mesh-tone-step": PARTS["wheel-3"]["teeth"] / PARTS["wheel-4"]["teeth"],
    "change-time": CHANGE["gap_ms"],
}
METHODS = {"scale-bar", "plane-length", "shaft-line", "rim-diameter", "tooth-count", "sound-ratio", "sound-gap"}


def entry(name: str) -> Measurement:
    """A measurement of the demo, as its file says it."""
    found = read_text((ROOT / "entries" / "measurements" / f"{name}.md").read_text("utf-8"), "measurements", name).entry
    assert isinstance(found, Measurement)
    return found


def source(measurement: Measurement) -> Source:
    """Its source."""
    folder, _, name = measurement.source.partition("/")
    found = read_text((ROOT / "entries" / folder / f"{name}.md").read_text("utf-8"), folder, name).entry
    assert isinstance(found, Source)
    return found


def holds(name: str, measurement: Measurement) -> bool:
    """Whether the truth lies within the interval that the picks give."""
    found = measured_anew(measurement, source(measurement), ROOT)
    if found.chances:
        return found.chances.get(round(TRUTH[name]), 0.0) > 0.05
    return found.low <= TRUTH[name] <= found.high


def moved(measurement: Measurement, role: str, number: int, by: float) -> Measurement:
    """The same measurement with one pick moved along x [px]."""
    assert measurement.picked is not None
    points = {name: list(places) for name, places in measurement.picked.points.items()}
    x, y = points[role][number]
    points[role][number] = (x + by, y)
    return measurement.model_copy(update={"picked": measurement.picked.model_copy(update={"points": points})})


def test_every_measurement_with_picks_has_its_truth_here() -> None:
    """None of the demo's measurements with picks is left out, and they use seven ways of measuring."""
    names = [path.stem for path in (ROOT / "entries" / "measurements").glob("*.md")]
    picked = {name: entry(name).picked for name in names}
    by = {name: one.by for name, one in picked.items() if one is not None}
    assert set(by) == set(TRUTH)
    assert set(by.values()) >= METHODS


@pytest.mark.parametrize("name", TRUTH)
def test_the_picks_meet_the_truth(name: str) -> None:
    """What the picks give holds the truth within the claimed 95 %, and is what the entry says."""
    measurement = entry(name)
    assert holds(name, measurement)
    assert agrees(measured_anew(measurement, source(measurement), ROOT), measurement.quantity)


def test_the_truth_files_agree_with_each_other() -> None:
    """The step of the mesh tone that the recording was made with is that of the wheels in the pictures."""
    assert CHANGE["mesh_step"] == pytest.approx(TRUTH["mesh-tone-step"], abs=1e-6)


@pytest.mark.parametrize(
    ("name", "role", "number"),
    [
        ("sleeve-groove-width", "part", 1),
        ("face-third", "part", 0),
        ("opening-along-the-rule", "part", 1),
        ("ten-centimetres-of-the-rule", "part", 0),
    ],
)
def test_a_wrong_pick_is_told(name: str, role: str, number: int) -> None:
    """With one pick on a neighbouring edge, twelve pixels off, the truth is missed and the entry no longer agrees."""
    wrong = moved(entry(name), role, number, 12.0)
    assert not holds(name, wrong)
    assert not agrees(measured_anew(wrong, source(wrong), ROOT), wrong.quantity)
