"""Printed results that calculators are held to: inputs and figures as their books print them, and what is permitted.

The tests and the site's page of checks read these rows alone, so that no figure stands in two places. Inputs are
written as in an entry, in the book's own units, and go the whole way: notation, units, ranges, computation. What a book
prints of a single formula is held to in `tests/published/`, which the installed program does not bring along.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

CITED, COPY, MEMORY, SECOND_HAND = "as cited", "seen in a copy", "from memory", "second hand"


@dataclass(frozen=True)
class Figure:
    """A printed figure: the output it is of, its value and unit, and how far ours may be off [the same unit]."""

    output: str
    value: float
    unit: str
    within: float


@dataclass(frozen=True, eq=False)
class Case:
    """A worked example: the calculator, what it is about, its inputs, its figures, its source, and how that was seen.

    why  what the permitted difference is made of
    """

    calculator: str
    title: str
    inputs: Mapping[str, Any]
    figures: tuple[Figure, ...]
    source: str
    seen: str
    why: str


DIGIT = "half of the last printed digit"
SHAFT = [{"element": "shaft", "capacity": "1000000 N·m", "where": "after"}]
OIL = {"travel": "10 mm", "mass": "1 kg", "bore": "2 in", "rod": "1 in", "pressure": "100 bar", "load": "1000 lbf",
       "flow": "75.70823568 L/min"}  # fmt: skip
KEY = {"count": "1", "share": "1", "diameter": "0.5 in", "width": "0.125 in", "projection": "0.0625 in",
       "shear": "12.2 ksi", "bearing": "20.4 ksi", "bending": "10000 MPa"}  # fmt: skip
CASES = (
    Case(
        "torque-headroom",
        "5 hp at 1750 1/min",
        {"power": "5 hp", "speed": "1750 1/min", "elements": SHAFT},
        (Figure("engine_torque", 180.0, "lbf·in", 0.074),),
        "Wentzell, Machine Design, ex. 17.1, p. 379",
        CITED,
        "the book takes 63,000 for 63,025.4",
    ),
    Case(
        "torque-headroom",
        "20 kW at 320 1/min",
        {"power": "20 kW", "speed": "320 1/min", "elements": SHAFT},
        (Figure("engine_torque", 596.8, "N·m", 0.05),),
        "Sadhu Singh, Machine Design, ex. 7.3, p. 204",
        CITED,
        DIGIT,
    ),
    Case(
        "torque-headroom",
        "Through gears of 100 and 200 mm",
        {"torque": "342.5 N·m", "ratio": "2", "elements": SHAFT},
        (Figure("after_torque", 685.0, "N·m", 0.1),),
        "Philpot, Mechanics of Materials, MecMovies M6.13",
        SECOND_HAND,
        "the input is printed to a tenth",
    ),
    Case(
        "torque-headroom",
        "Through gears of 24 and 72 teeth, in any unit",
        {"torque": "43.768 N·m", "ratio": "3", "elements": SHAFT},
        (Figure("after_torque", 131.303, "N·m", 0.0015),),
        "Philpot, Mechanics of Materials, MecMovies M6.18",
        SECOND_HAND,
        "the input is printed to half a thousandth",
    ),
    Case(
        "torque-headroom",
        "A disc brought to rest from 350 1/min in 1.5 s",
        {"torque": "1 N·m", "inertia": "141.37166941 kg·m²", "drop": "350 1/min", "duration": "1.5 s",
         "elements": SHAFT},
        (Figure("inertia_torque", 3454.36, "N·m", 0.005),),
        "Bhandari, Design of Machine Elements, ex. 12.1",
        SECOND_HAND,
        DIGIT,
    ),
    Case(
        "axial-length",
        "A gap of four parts",
        {"layout": [
            {"part": "a", "length": "1.750 ± 0.003 in"},
            {"part": "b", "length": "0.750 ± 0.001 in", "direction": "takes away"},
            {"part": "c", "length": "0.120 ± 0.005 in", "direction": "takes away"},
            {"part": "d", "length": "0.875 ± 0.001 in", "direction": "takes away"},
        ]},
        (
            Figure("nominal", 0.005, "in", 1e-9),
            Figure("least", -0.005, "in", 1e-9),
            Figure("greatest", 0.015, "in", 1e-9),
            Figure("half_width", 0.006, "in", 1e-9),
        ),
        "Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th and 10th ed., ch. 1",
        MEMORY,
        "exact",
    ),
    Case(
        "axial-length",
        "The same with a thinner part",
        {"layout": [
            {"part": "a", "length": "1.750 ± 0.003 in"},
            {"part": "b", "length": "0.750 ± 0.001 in", "direction": "takes away"},
            {"part": "c", "length": "0.120 ± 0.005 in", "direction": "takes away"},
            {"part": "d", "length": "0.865 ± 0.001 in", "direction": "takes away"},
        ]},
        (Figure("least", 0.005, "in", 1e-9),),
        "Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th and 10th ed., ch. 1",
        MEMORY,
        "exact",
    ),
    Case(
        "axial-length",
        "A shaft with two bearings in its housing",
        {"layout": [
            {"part": "retaining ring", "length": "0.0505 ± 0.0015 in", "direction": "takes away"},
            {"part": "shaft", "length": "8.000 ± 0.008 in"},
            {"part": "bearing", "length": "0.5093 ± 0.0025 in", "quantity": "2", "direction": "takes away"},
            {"part": "bearing spacer", "length": "0.400 ± 0.002 in", "quantity": "2"},
            {"part": "housing", "length": "7.711 ± 0.006 in", "direction": "takes away"},
        ]},
        (Figure("nominal", 0.020, "in", 5e-4), Figure("half_width", 0.01108, "in", 5e-6)),
        "Chase, Tolerance Allocation Methods for Designers, ADCATS report 99-6",
        MEMORY,
        "half of the last printed digit; the nominal gap is 0.0199 before rounding",
    ),
    Case(
        "spline",
        "A sliding spline of eight keys",
        {"count": "8", "major": "60 mm", "minor": "52 mm", "length": "111 mm", "pressure": "6 MPa",
         "friction": "0.06", "torque": "596.8 N·m"},
        (Figure("capacity", 596.8, "N·m", 0.6), Figure("slide_force", 1278.9, "N", 0.13)),
        "Sadhu Singh, Machine Design, ex. 7.3, p. 204",
        CITED,
        "the length is rounded to the millimetre",
    ),
    Case(
        "dog-teeth",
        "The same spline as eight radial dogs",
        {"form": "radial", "count": "8", "share": "1", "radius": "28 mm", "thickness": "10 mm", "width": "111 mm",
         "engagement": "4 mm", "shear": "100 MPa", "bearing": "6 MPa", "bending": "1000 MPa", "friction": "0.06",
         "torque": "596.8 N·m"},
        (Figure("capacity", 596.8, "N·m", 0.6), Figure("release_force", 1278.9, "N", 0.13)),
        "Sadhu Singh, Machine Design, ex. 7.3, p. 204",
        CITED,
        "the length is rounded to the millimetre",
    ),
    Case(
        "sliding-key",
        "A key of an eighth of an inch, as long as shear wants it",
        {**KEY, "length": "0.472 in"},
        (Figure("shear_capacity", 180.0, "lbf·in", 0.2),),
        "Wentzell, Machine Design, ex. 15.1, p. 332",
        CITED,
        "the length is printed to a thousandth of an inch",
    ),
    Case(
        "sliding-key",
        "The same key, as long as bearing wants it",
        {**KEY, "length": "0.565 in"},
        (Figure("gear_capacity", 180.0, "lbf·in", 0.2),),
        "Wentzell, Machine Design, ex. 15.1, p. 332",
        CITED,
        "the length is printed to a thousandth of an inch",
    ),
    Case(
        "bearing-life",
        "A ball bearing at 1750 1/min",
        {"rating": "5050 N", "duty": [{"radial": "2400 N", "speed": "1750 1/min"}]},
        (Figure("life_hours", 88.73, "h", 0.009),),
        "Wentzell, Machine Design, ex. 20.1, p. 431",
        COPY,
        "one part in ten thousand: the book rounds on its way",
    ),
    Case(
        "bearing-life",
        "Both loads at once",
        {"rating": "5590 N", "duty": [{"radial": "1250 N", "axial": "625 N", "x": "0.56", "y": "1.2",
                                       "speed": "1000 1/min"}]},
        (Figure("life", 57.3, "", 0.05),),
        "Jindal, Machine Design, ex. 18-2, p. 508",
        COPY,
        DIGIT,
    ),
    Case(
        "bearing-life",
        "A cycle of three loads",
        {"rating": "34219 N", "hours": "10000 h", "duty": [
            {"radial": "3000 N", "speed": "1440 1/min", "share": "0.25"},
            {"radial": "4000 N", "speed": "1080 1/min", "share": "0.5"},
            {"radial": "5000 N", "speed": "720 1/min", "share": "0.25"},
        ]},
        (
            Figure("mean_speed", 1080.0, "1/min", 1e-6),
            Figure("mean_load", 3954.3, "N", 4.0),
            Figure("needed_rating", 34219.0, "N", 35.0),
        ),
        "Jindal, Machine Design, ex. 18-9, p. 512",
        COPY,
        "one part in a thousand: the book rounds on its way",
    ),
    Case(
        "hydraulic-fork",
        "A cylinder of two inches, out",
        {**OIL, "side": "bore side"},
        (
            Figure("pressure_needed", 318.0, "psi", 1.6),
            Figure("steady_speed", 2.05, "ft/s", 0.0103),
            Figure("power", 3.72, "hp", 0.0186),
        ),
        "Esposito, Fluid Power with Applications, 6th ed., ex. 6-1, p. 219",
        SECOND_HAND,
        "half a percent: the book takes 449 gpm for a cubic foot a second and rounds up",
    ),
    Case(
        "hydraulic-fork",
        "The same cylinder, back",
        {**OIL, "side": "rod side"},
        (
            Figure("pressure_needed", 425.0, "psi", 2.1),
            Figure("steady_speed", 2.73, "ft/s", 0.0137),
            Figure("power", 4.96, "hp", 0.0248),
        ),
        "Esposito, Fluid Power with Applications, 6th ed., ex. 6-1, p. 219",
        SECOND_HAND,
        "half a percent: the book takes 449 gpm for a cubic foot a second and rounds up",
    ),
    Case(
        "sensor-wheel",
        "A hundred pulses a turn at 3000 1/min, counted by 125 kHz",
        {"radius": "50 mm", "difference": "100 1/min", "window_time": "10 ms", "targets": "100", "speed": "3000 1/min",
         "clock": "125000 Hz"},
        (Figure("edge_time", 200.0, "µs", 1e-6), Figure("ticks", 25.0, "", 1e-9)),
        "Introduction to timer-based measurement, embedded.com, 29 July 2003",
        COPY,
        "exact",
    ),
    Case(
        "one-way-element",
        "Three rounded noses on flats, each as two cylinders of 40 mm pressed by 24.1 kN",
        {"form": "strut", "count": "3", "share": "1", "radius": "50 mm", "width": "20 mm", "rounding": "20 mm",
         "pressure": "1447 MPa", "modulus": "200000 MPa", "poisson": "0.29"},
        (Figure("contact_capacity", 3615.0, "N·m", 10.8),),
        "Boresi and Schmidt, Advanced Mechanics of Materials, ex. 17.3, p. 621",
        SECOND_HAND,
        "0.3 %: the force is printed to three digits",
    ),
    Case(
        "shaft-section",
        "A stepped shaft in fatigue",
        {"outside": "1.1 in", "torque": "1100 lbf·in", "bending": "1260 lbf·in", "bending_factor": "1.58",
         "torsion_factor": "1.37", "tensile": "105 ksi", "yielding": "82 ksi", "endurance": "29.3 ksi", "scatter": "1"},
        (
            Figure("alternating_stress", 15235.0, "psi", 76.0),
            Figure("mean_stress", 9988.0, "psi", 50.0),
            Figure("goodman_factor", 1.63, "", 0.0082),
            Figure("elliptic_factor", 1.88, "", 0.0094),
            Figure("notch_yield_factor", 4.50, "", 0.0225),
        ),
        "Budynas and Nisbett, Shigley's Mechanical Engineering Design, 10th ed., ex. 7-1, p. 363",
        CITED,
        "half a percent: the book rounds on its way",
    ),
    Case(
        "fork-screw",
        "A power screw of 32 by 4 mm with two threads, under 6.4 kN",
        {"travel": "10 mm", "lead": "8 mm", "speed": "1000 1/min", "diameter": "30 mm", "friction": "0.08",
         "flank": "0 °", "collar_friction": "0.08", "collar_diameter": "40 mm", "load": "6400 N", "mass": "1 kg",
         "torque": "30 N·m"},
        (Figure("load_torque", 26.18, "N·m", 0.005), Figure("efficiency", 31.1, "%", 0.05)),
        "Budynas and Nisbett, Shigley's Mechanical Engineering Design, ex. 8-1",
        MEMORY,
        DIGIT,
    ),
    Case(
        "selector-drum",
        "Two steel cylinders of 40 mm pressed by 24.1 kN, as a pin in its track",
        {"positions": "2", "travel": "0.01 mm", "dwell": "0", "pin": "40 mm", "depth": "20 mm",
         "mean_radius": "5000 mm", "duration": "1000 ms", "load": "24100 N", "pin_friction": "0", "rail_friction": "0",
         "elasticity": "200 GPa", "poisson": "0.29"},
        (Figure("contact_pressure", 1447.0, "MPa", 4.3), Figure("contact_shear", 434.0, "MPa", 1.3)),
        "Boresi and Schmidt, Advanced Mechanics of Materials, ex. 17.3, p. 621",
        SECOND_HAND,
        "0.3 %: the force is printed to three digits",
    ),
    Case(
        "dog-window",
        "Two discs brought to one speed",
        {"dogs": "6", "gap": "26 °", "dog": "11 °", "difference": "750 1/min",
         "axial_speed": "0.8 m/s", "depth": "5 mm", "patience": "0 ms", "inertia": "1.176 kg·m²",
         "other_inertia": "0.128 kg·m²", "stiffness": "1000 N·m/rad"},
        (Figure("common_speed", 70.8, "rad/s", 0.21), Figure("energy_lost", 356.0, "J", 0.5)),
        "Khurmi and Gupta, Theory of Machines, ex. 3.12, p. 47",
        SECOND_HAND,
        "0.3 % of the speed, half of the last digit of the energy",
    ),
)  # fmt: skip
# Of these calculators no worked example was found, or only parts of one.
WITHOUT: Mapping[str, str] = {
    "shift-states": "no printed worked example of positions or binding was found; it is enumerated and searched",
    "face-cam-disc": "no printed worked example of a grooved disc was found; its motion laws are the drum's",
}
IN_PART: Mapping[str, str] = {
    "selector-drum": "motion laws and jamming are printed; no worked drum cam was found",
    "dog-window": "impact and common speed are printed; the chance of entry is held to simulated entries",
    "sensor-wheel": "times and resolutions are printed; foretelling an entry is held to simulation",
    "dog-teeth": "printed keys stand in for dogs: the same shear, bearing and bending",
    "one-way-element": "printed contacts stand in; no whole element was found",
    "sliding-key": "printed keys; the force to draw keys under torque has no printed case",
    "tooth-root": "form factors and worked bending stresses by other methods are printed; no ISO 6336 result was found",
    "tooth-flank": "contact factors and worked stresses by other methods are printed; no ISO 6336 result was found",
    "tooth-pairs": "pairs and counts are printed; the probabilities are held to brute force and calibration",
    "shift-gap": "its parts and closed forms; no whole lap is printed, so one is held to a general solver",
    "ratio-ladder": "steps and speeds of single gears are printed; no whole ladder was found",
    "tooth-duty": "Palmgren-Miner sums are printed; no gear's load spectrum over a distance was found",
    "oil-feed": "orifices and turning liquids are printed apart; no turning shaft with holes was found",
    "model-scale": "standard sizes and fits are printed; the whole is held to hand calculation",
}
