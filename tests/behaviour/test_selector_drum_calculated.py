"""Drums, discs and screws as entries give them: what comes back, what is bound, swept and drawn, what is refused."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from ledger.calculators.bench import Bench
from ledger.calculators.binding import Upstream, bind
from ledger.calculators.contract import Calculator
from ledger.calculators.drawing import Drawing
from ledger.calculators.face_cam_disc import FACE_CAM_DISC
from ledger.calculators.fork_screw import FORK_SCREW
from ledger.calculators.running import outcomes, run
from ledger.calculators.selector_drum import SELECTOR_DRUM
from ledger.calculators.shift_states import SHIFT_STATES
from ledger.calculators.sweeping import result
from ledger.entries.models import Calculation
from ledger.entries.parts import Given
from ledger.errors import CalculationRefused
from ledger.mechanics import cam_drive, drum_track, face_cam, fork_screw, motion_laws, pin_contact
from ledger.quantities.notation import parse

ROOT = Path(__file__).parents[2]
NINE = {"positions": 9, "travel": "10..12 mm", "dwell": 0.35, "pin": "8 mm", "depth": "6 mm"}
FORCES = {
    "duration": "40 ms", "load": "100..200 N", "mass": "4 kg", "overhang": "20 mm", "guide": "60 mm",
    "inertia": "0.002 kg·m²",
}  # fmt: skip
SCREW = {
    "travel": "11 mm", "lead": "5 mm", "speed": "6000 rpm", "screw": "balls", "load": "150 N", "mass": "4 kg",
    "rotor": "20 kg·mm²", "torque": "0.8 N·m", "wanted": "60 ms",
}  # fmt: skip


def through_the_engine(calculator: Calculator, given: dict[str, Any]) -> dict:
    """Bind and run as a calculation entry does; lists are rows."""
    inputs = {
        name: Given(rows=value, reason="stated") if isinstance(value, list) else Given(value=value, reason="stated")
        for name, value in given.items()
    }
    raw, _ = bind("calculations/try", calculator, inputs, Upstream({}, {}, {}), Drawing(400))
    return {one.name: one for one in outcomes(calculator, run("calculations/try", calculator, raw))}


def needed(calculator: Calculator, without: tuple[str, ...] = ()) -> set[str]:
    """Names of the outputs that must come back."""
    return {output.name for output in calculator.outputs} - set(without)


def test_every_declared_output_of_a_drum_comes_back() -> None:
    """Beside the rails nothing is said of bores; without a time nothing of forces, without a space nothing of room."""
    tracks = [{"track": "A", "stands": "0 + 0 - 0 0 0 0 0"}]
    full = through_the_engine(SELECTOR_DRUM, {**NINE, **FORCES, "space": "86 ± 6 mm", "tracks": tracks})
    assert set(full) == needed(SELECTOR_DRUM, ("bore_diameter", "bridge"))
    bare = through_the_engine(SELECTOR_DRUM, NINE)
    assert needed(SELECTOR_DRUM) - set(bare) <= {one.name for one in SELECTOR_DRUM.outputs if one.optional}
    assert not {"torque", "room", "contact_pressure", "drum_length"} & set(bare)
    inside = through_the_engine(
        SELECTOR_DRUM, {**NINE, "place": "in a hollow rail, track in the drum", "bore": "60 mm", "wall": "4 mm"}
    )
    assert inside["outside_diameter"].summary.estimate == pytest.approx(68)
    assert inside["bore_diameter"].summary.estimate == pytest.approx(60)
    assert inside["radius"].summary.estimate == pytest.approx(27)


def test_every_declared_output_of_a_disc_comes_back() -> None:
    """Rows of grooves and the grooves drawn included."""
    full = through_the_engine(FACE_CAM_DISC, {**NINE, **FORCES, "grooves": 2, "space": "268 ± 5 mm"})
    assert set(full) == needed(FACE_CAM_DISC)
    assert [row["groove"] for row in full["grooves"].value] == ["innermost", "number 2"]
    assert 60 <= len(full["curves"].value) <= 200


def test_every_declared_output_of_a_screw_comes_back() -> None:
    """With a torque and a wanted time everything is asked for; times are shown in milliseconds."""
    full = through_the_engine(FORK_SCREW, SCREW)
    assert set(full) == needed(FORK_SCREW)
    assert full["whole_time"].unit == "ms"
    assert full["whole_time"].summary.estimate == pytest.approx(43.5, abs=0.05)
    assert full["in_time"].chance == 1
    assert not {"in_time", "needed_torque"} & set(through_the_engine(FORK_SCREW, {**SCREW, "wanted": "0 ms"}))


def test_laws_without_finite_peaks_say_nothing_of_them() -> None:
    """The uniform law gives no acceleration, curvature or jerk; the harmonic one no jerk."""
    uniform = through_the_engine(SELECTOR_DRUM, {**NINE, **FORCES, "law": "uniform"})
    assert not {"peak_acceleration", "peak_jerk", "curvature", "undercut_room"} & set(uniform)
    harmonic = through_the_engine(SELECTOR_DRUM, {**NINE, **FORCES, "law": "harmonic"})
    assert "peak_acceleration" in harmonic
    assert "peak_jerk" not in harmonic


def test_a_steep_drum_is_said_to_jam_and_gives_no_forces() -> None:
    """Beyond the jamming angle no force is given; where it jams in some draws, forces are those of the others."""
    steep = through_the_engine(
        SELECTOR_DRUM, {**NINE, **FORCES, "mean_radius": "6 mm", "rail_friction": 0.2, "pin_friction": 0.2}
    )
    assert steep["moves_freely"].chance == 0
    forced = {"contact_force", "side_force", "guide_force", "torque", "power", "contact_pressure", "contact_shear"}
    assert not forced & set(steep)
    given = {**NINE, **FORCES, "rail_friction": "0.1..0.9", "pin_friction": 0.2, "travel": "11 mm"}
    some = through_the_engine(SELECTOR_DRUM, {**given, "mean_radius": "45 mm"})
    assert 0.2 < some["moves_freely"].chance < 0.9
    for name in forced:
        assert some[name].share == pytest.approx(some["moves_freely"].chance)


def test_what_a_motor_cannot_do_is_not_summed_up() -> None:
    """Too weak a motor gives no time; one too slow for the wanted time no torque, power or acceleration."""
    weak = through_the_engine(FORK_SCREW, {**SCREW, "torque": "0.1 N·m"})
    assert not {"time", "whole_time", "acceleration", "peak_power", "energy"} & set(weak)
    assert "needed_torque" in weak
    slow = through_the_engine(FORK_SCREW, {**SCREW, "torque": "0 N·m", "speed": "1200 rpm"})
    assert not {"time", "needed_torque", "peak_power", "acceleration"} & set(slow)
    some = through_the_engine(FORK_SCREW, {**SCREW, "torque": "0 N·m", "speed": "1200..6000 rpm"})
    assert 0 < some["speed_suffices"].chance < 1
    for name in ("needed_torque", "peak_power", "time"):
        assert some[name].share == pytest.approx(some["speed_suffices"].chance)
    stated = through_the_engine(FORK_SCREW, {**SCREW, "speed": "1200 rpm"})
    assert stated["peak_power"].summary.estimate == pytest.approx(0.8 * 1200 * 2 * np.pi / 60)
    assert "needed_torque" not in stated


def test_screws_of_watches_are_permitted() -> None:
    """A lead of 0.01 mm on a diameter of 0.1 mm is computed."""
    small = {**SCREW, "screw": "sliding thread", "lead": "0.01 mm", "diameter": "0.1 mm", "torque": "1 N·m"}
    assert through_the_engine(FORK_SCREW, small)["turns"].summary.estimate == pytest.approx(1100)


def test_the_chart_of_shift_states_gives_tracks() -> None:
    """The offsets of each track, state after state, are its stands as they are."""
    chart = SHIFT_STATES.compute(
        gears=3, ratios=[], hubs=[], reverse=False, neutral=True, overlap="dwell", members="apart", actuators=1,
        load_reversed=False,
    )["chart"]  # fmt: skip
    stands: dict[str, str] = {}
    for row in chart:
        stands[row["track"]] = f"{stands.get(row['track'], '')} {row['offset']}"
    tracks = [{"track": name, "stands": one} for name, one in stands.items()]
    found = through_the_engine(SELECTOR_DRUM, {**NINE, "positions": 6, "tracks": tracks})
    assert {row["series"] for row in found["curves"].value} == set(stands)


def entry(calculator: str, inputs: dict[str, Any], criteria: list[dict[str, Any]] | None = None) -> Calculation:
    """A calculation entry."""
    return Calculation.model_validate(
        {"kind": "calculation", "title": calculator, "calculator": calculator, "inputs": inputs,
         "criteria": criteria or []}
    )  # fmt: skip


def test_positions_come_from_shift_states_and_decide() -> None:
    """Seven gears, neutral and reverse make nine positions; a drum for them wants 128 mm, and 86 are there."""
    register = {one.name: one for one in (SHIFT_STATES, SELECTOR_DRUM, FACE_CAM_DISC)}
    said = {"reason": "stated"}
    states = entry(
        "shift-states",
        {"gears": {"value": 7, **said}, "reverse": {"value": True, **said}, "overlap": {"value": "spring", **said}},
    )
    places = {"calculation": "calculations/states", "output": "positions"}
    common = {
        "positions": places, "travel": {"value": "11 mm", **said}, "dwell": {"chosen": "0.2..0.5", **said},
        "pin": {"value": "8 mm", **said}, "depth": {"value": "6 mm", **said}, "limit": {"value": "30..40 °", **said},
    }  # fmt: skip
    fits = [{"output": "room", "at-least": "0 mm"}]
    drum = entry("selector-drum", {**common, "space": {"measurement": "measurements/bulge"}}, fits)
    disc = entry(
        "face-cam-disc",
        {**common, "grooves": {"value": 2, **said}, "space": {"measurement": "measurements/cover"},
         "casing": {"value": "15 mm", **said}},
        fits,
    )  # fmt: skip
    bench = Bench(
        register,
        {"calculations/states": states, "calculations/drum": drum, "calculations/disc": disc},
        {"measurements/bulge": parse("86 ± 6 mm"), "measurements/cover": parse("268 ± 5 mm")},
        Drawing(400),
    )
    assert result(bench, "calculations/drum")[0].kept[0].chance < 0.05
    assert result(bench, "calculations/disc")[0].kept[0].chance > 0.9


@pytest.mark.parametrize(
    ("calculator", "given", "said"),
    [
        (SELECTOR_DRUM, {"positions": 1}, "outside what is permitted"),
        (SELECTOR_DRUM, {"positions": 8.5}, "whole number"),
        (SELECTOR_DRUM, {"travel": "0 mm"}, "outside what is permitted"),
        (SELECTOR_DRUM, {"dwell": 1}, "outside what is permitted"),
        (SELECTOR_DRUM, {"limit": "90 °"}, "outside what is permitted"),
        (SELECTOR_DRUM, {"law": "parabolic"}, "expected one of"),
        (SELECTOR_DRUM, {"depth": "0 mm"}, "state the depth"),
        (SELECTOR_DRUM, {"mean_radius": "20 mm", "bore": "40 mm"}, "not both"),
        (SELECTOR_DRUM, {"bore": "40 mm"}, "lies in no bore"),
        (SELECTOR_DRUM, {"mean_radius": "2 mm", "pin": "3 mm"}, "deeper than the drum"),
        (SELECTOR_DRUM, {"mean_radius": "10 mm", "pin": "20.1 mm"}, "pin is thicker than the drum"),
        (FACE_CAM_DISC, {"grooves": 2, "inner_radius": "3.9 mm"}, "below half the pin"),
        (SELECTOR_DRUM, {"place": "in a hollow rail, slot in the rail", "wall": "3 mm"}, "cuts the rail in two"),
        (
            SELECTOR_DRUM,
            {"place": "in a hollow rail, slot in the rail", "spread": "part of a turn", "turn": "300 °"},
            "state the wall",
        ),
        (SELECTOR_DRUM, {"place": "in a hollow rail, track in the drum", "bore": "4 mm"}, "Mean radius of the track"),
        (SELECTOR_DRUM, {"dwell": 0, **FORCES}, "in which the drum starts"),
        (SELECTOR_DRUM, {"duration": "0.01 ms"}, "Time of a move"),
        (SELECTOR_DRUM, {"tracks": [{"track": "A", "stands": "0 + 0"}]}, "states 3 stands"),
        (SELECTOR_DRUM, {"tracks": [{"track": "A", "stands": "0 x 0 0 0 0 0 0 0"}]}, "expected \\+, 0 and -"),
        (SELECTOR_DRUM, {"tracks": [{"track": "A", "stands": "0 0 0 0 0 0 0 0 0"}]}, "never moves"),
        (SELECTOR_DRUM, {"tracks": [{"track": "A", "stands": "0 nan 0 0 0 0 0 0 0"}]}, "between -2 and 2"),
        (SELECTOR_DRUM, {"tracks": [{"track": "A", "stands": "0 + 0 0 0 0 0 0 0"}] * 2}, "name them apart"),
        (FACE_CAM_DISC, {"grooves": 0}, "outside what is permitted"),
        (FACE_CAM_DISC, {"grooves": 2, "inner_radius": "-5 mm"}, "outside what is permitted"),
        (FACE_CAM_DISC, {"grooves": 2, "pin": "8 kg"}, "pin"),
    ],
)
def test_impossible_drums_and_discs_are_refused_in_words(calculator: Calculator, given: dict, said: str) -> None:
    """What cannot be built, drawn or read is refused, and it is said why."""
    with pytest.raises(CalculationRefused, match=said):
        through_the_engine(calculator, {**NINE, **given})


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"torque": "0 N·m", "wanted": "0 ms"}, "State the torque of the motor"),
        ({"screw": "sliding thread"}, "state the diameter"),
        ({"delay": "60 ms"}, "takes up all of the wanted time"),
        ({"lead": "0 mm"}, "outside what is permitted"),
        ({"mass": "0 kg", "rotor": "0 kg·mm²"}, "Nothing is moved"),
        ({"efficiency": 1.1}, "outside what is permitted"),
        ({"screw": "sliding thread", "diameter": "2 mm", "lead": "40 mm", "friction": 0.9}, "jam the thread"),
        ({"speed": "0 rpm"}, "outside what is permitted"),
    ],
)
def test_impossible_screws_are_refused_in_words(given: dict, said: str) -> None:
    """No torque and no time, no thread, no mass: refused, and it is said why."""
    with pytest.raises(CalculationRefused, match=said):
        through_the_engine(FORK_SCREW, {**SCREW, **given})


def test_impossible_numbers_are_refused_all_at_once() -> None:
    """The formulas name every fault together, NaN included, and never answer NaN."""
    with pytest.raises(ValueError, match=r"Travel: -1 given.*Arc of a move: 0 given.*Mean radius of the track: nan"):
        drum_track.pressure_angle(-1.0, 0.0, float("nan"), 2.0)
    with pytest.raises(ValueError, match=r"Time of a move: 0 given.*Moving mass: -1 given"):
        cam_drive.drive("cycloidal", 10.0, 0.5, 0.0, 20.0, mass=-1.0)
    with pytest.raises(ValueError, match="Share of the arc"):
        motion_laws.displacement("cycloidal", np.array([0.5, 1.5]))
    with pytest.raises(ValueError, match="known are uniform, harmonic"):
        motion_laws.velocity("parabolic", 0.5)
    with pytest.raises(ValueError, match="Lead: 0 given"):
        fork_screw.raising_torque(100.0, 0.0, 10.0, 0.1)
    with pytest.raises(ValueError, match="Length of the contact"):
        pin_contact.contact_pressure(100.0, 0.0, 8.0, 206_000.0, 0.3)


def test_a_wrong_least_radius_would_be_seen() -> None:
    """Planted: a least radius with the sine in place of the tangent does not give the limiting angle back."""
    limit, factor = 0.6, motion_laws.velocity_factor("cycloidal")
    right = drum_track.least_radius(11.0, 0.45, limit, factor)
    wrong = factor * 11.0 / (0.45 * np.sin(limit))
    assert drum_track.pressure_angle(11.0, 0.45, right, factor) == pytest.approx(limit, rel=1e-12)
    assert drum_track.pressure_angle(11.0, 0.45, wrong, factor) != pytest.approx(limit, rel=1e-3)


def test_the_formulas_run_without_numpy() -> None:
    """A fresh interpreter without third-party packages computes the same drum, disc and screw on floats."""
    code = (
        f"import sys; sys.path.insert(0, {str(ROOT)!r})\n"
        "from ledger.mechanics import cam_drive, drum_track, face_cam, fork_screw, motion_laws, pin_contact\n"
        "given = (11.0, 0.45, 0.04, 40.0, 150.0, 4.0, 0.1, 0.1, 20.0, 60.0, 9.0)\n"
        "driven = cam_drive.drive('modified trapezoid', *given)\n"
        "print('numpy' in sys.modules, driven['contact_force'], driven['torque'], driven['moves_freely'] * 1.0)\n"
        "print(face_cam.least_radius('3-4-5', 11.0, 0.45, 0.6))\n"
        "print(drum_track.curvature_radius('4-5-6-7', 11.0, 0.45, 40.0))\n"
        "print(fork_screw.move_time(11.0, 20000.0, 500.0))\n"
        "print(pin_contact.contact_pressure(300.0, 6.0, 8.0, 206e3, 0.3))\n"
        "print(motion_laws.displacement('modified sine', 0.3))\n"
        "print(face_cam.curvature_radius('cycloidal', 11.0, 0.45, 60.0))"
    )
    done = subprocess.run([sys.executable, "-I", "-S", "-c", code], capture_output=True, text=True, check=True)
    loaded, *values = done.stdout.split()
    driven = cam_drive.drive("modified trapezoid", 11.0, 0.45, 0.04, 40.0, 150.0, 4.0, 0.1, 0.1, 20.0, 60.0, 9.0)
    assert loaded == "False"
    expected = [
        driven["contact_force"],
        driven["torque"],
        1.0,
        face_cam.least_radius("3-4-5", 11.0, 0.45, 0.6),
        drum_track.curvature_radius("4-5-6-7", 11.0, 0.45, 40.0),
        fork_screw.move_time(11.0, 20_000.0, 500.0),
        pin_contact.contact_pressure(300.0, 6.0, 8.0, 206e3, 0.3),
        float(motion_laws.displacement("modified sine", 0.3)),
        face_cam.curvature_radius("cycloidal", 11.0, 0.45, 60.0),
    ]
    assert [float(value) for value in values] == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("calculator", [SELECTOR_DRUM, FACE_CAM_DISC, FORK_SCREW], ids=lambda one: one.name)
def test_the_declaration_says_what_a_reader_needs(calculator: Calculator) -> None:
    """Sources, assumptions and cautions are there, names and labels are given once, and every unit is known."""
    assert calculator.sources
    assert calculator.assumptions
    assert any("carries people" in line for line in calculator.cautions)
    for named in (calculator.inputs, calculator.outputs):
        assert len({one.name for one in named}) == len({one.label for one in named}) == len(named)
    for output in calculator.outputs:
        parse(f"1 {output.unit}").to(output.shown or output.unit)
