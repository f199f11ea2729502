"""The gears of the sheet: their data, what they are checked by, their blanks and outlines, declared."""

from __future__ import annotations

from ledger.building.contract import AS_MODEL, Column, Section, Table
from ledger.building.sections.gears.made import BLANKS, COUNTED, CUT, DIVIDED, ON_DRIVEN, ROLLED, compute
from ledger.calculators.contract import Choice, Number, Rows, Text, Whole
from ledger.mechanics.gear_pair import PERMITTED, PROFILES
from ledger.mechanics.model_scale import PROCESSES


def _number(name: str, key: str, label: str, default: str | None = None, limits: bool = False) -> Number:
    _, unit, low, high = PERMITTED[key]
    return Number(name, label, unit, low, high, default=default, limits=limits)


def _teeth(name: str, label: str) -> Whole:
    _, _, low, high = PERMITTED["teeth"]
    return Whole(name, label, int(low), int(high))


GEARS = Section(
    name="gears",
    title="Gears",
    purpose="What every wheel is cut and checked by, and how its pair runs at its centre distance.",
    parameters=(
        _number("gear_module", "module", "Module of the gears, square to the teeth"),
        _number("centre_distance", "distance", "Distance of the shafts", limits=True),
        Rows(
            "gear_pairs",
            "Pairs of gears and their tooth counts",
            (
                Text("gear", "Gear"),
                _teeth("driver", "Teeth of the driving wheel"),
                _teeth("driven", "Teeth of the driven wheel"),
                Number("distance", "Centre distance (0: that of the shafts)", "mm", 0.0, 250_000.0, default="0 mm",
                       limits=True),
                Text("driver_is", "Name of the driving wheel, if it stands in another pair too", default=""),
                Text("driven_is", "Name of the driven wheel, if it stands in another pair too", default=""),
            ),
        ),
        Rows(
            "gear_blanks",
            "Face and bores of each pair",
            (
                Text("gear", "Gear"),
                Number("face", "Face of both wheels", "mm", 0.1, 5000.0, limits=True),
                Number("driver_bore", "Bore of the driving wheel (0: none)", "mm", 0.0, 5000.0, default="0 mm",
                       limits=True),
                Number("driven_bore", "Bore of the driven wheel (0: none)", "mm", 0.0, 5000.0, default="0 mm",
                       limits=True),
            ),
        ),
        Number("gear_backlash", "Backlash on the pitch circles, by thinner teeth", "mm", 0.0, 50.0, default="0 mm",
               limits=True),
        Choice("gear_shifts", "How the profile shifts that close the distance are divided", (DIVIDED, ON_DRIVEN),
               default=DIVIDED),
        Choice("gear_profile", "Basic rack of the tool, of ISO 53", tuple(PROFILES), default="A"),
        _number("gear_pressure", "pressure", "Pressure angle of the tool", "20 °"),
        _number("gear_helix", "helix", "Helix angle (0: spur)", "0 °"),
        Choice("gear_process", "How the gears are made", (AS_MODEL, *PROCESSES), default=AS_MODEL),
        Text("gear_material", "What the gears are made of", default="not stated"),
    ),
    wanted=("gear_blanks",),
    tables=(
        Table(
            "gear_pairs",
            "Pairs",
            (
                Column("gear", "Gear"),
                Column("ratio", "Ratio", of=("gear_pairs",)),
                Column("distance", "Centre distance", "mm", ("centre_distance", "gear_pairs")),
                Column("shift_sum", "Sum of profile shifts", of=CUT, behind=True),
                Column("working_angle", "Working pressure angle", "°", (*ROLLED, "centre_distance"), behind=True),
                Column("contact_ratio", "Contact ratio", of=CUT, behind=True),
                Column("backlash", "Backlash on the pitch circles", "mm", CUT),
                Column("clearance", "Lesser tip clearance", "mm", CUT, behind=True),
                Column("base_pitch", "Base pitch", "mm", ROLLED, behind=True),
            ),
        ),
        Table(
            "gear_wheels",
            "Wheels",
            (
                Column("wheel", "Wheel"),
                Column("teeth", "Teeth", of=("gear_pairs",)),
                Column("shift", "Profile shift", of=CUT, behind=True),
                Column("generated", "Profile shift it is cut with", of=CUT, behind=True),
                Column("reference", "Reference diameter", "mm", COUNTED, behind=True),
                Column("base", "Base diameter", "mm", ROLLED, behind=True),
                Column("pitch", "Pitch diameter", "mm", ("gear_pairs", "centre_distance"), behind=True),
                Column("tip", "Tip diameter", "mm", CUT),
                Column("root", "Root diameter", "mm", CUT),
                Column("tip_thickness", "Tip thickness", "mm", CUT, behind=True),
                Column("face", "Face", "mm", BLANKS),
                Column("bore", "Bore", "mm", BLANKS),
                Column("spanned", "Teeth spanned", of=CUT),
                Column("span", "Span over them", "mm", CUT),
                Column("pin", "Pins", "mm", CUT),
                Column("over", "Size over two pins", "mm", CUT),
                Column("file", "Drawing", behind=True),
            ),
        ),
    ),
    compute=compute,
    formula=(
        "The profile shifts close the centre distance without backlash: *x*₁ + *x*₂ = (*z*₁ + *z*₂)(inv α_wt − inv α_t)"
        " / (2 tan α_n). Backlash comes from cutting both wheels deeper, so spans, sizes over pins and root diameters "
        "are those of the thinner teeth. Tips are cut back to keep the clearance of the rack."
    ),
    sources=(
        "Geometry and sizes to check by: ISO 21771-1:2024 and ISO 21771-2; racks: ISO 53:1998.",
        "Division of profile shifts: ISO/TR 4467:1982, from memory. Pins: ISO 8734, from memory.",
    ),
    assumptions=(
        "Sizes to check by and root diameters have the limits that those of the backlash give; other intervals are "
        "what the limits of distance and backlash do together. The counts are exact.",
        "Two wheels of one pair have one face. A wheel named in two pairs is one wheel.",
        "Shifted wheels need a generating process, or printing: form cutters make unshifted teeth only.",
        "Stock is a millimetre larger than the part, in whole millimetres.",
    ),
    cautions=(
        "Gears draw in fingers, hair and cloth at the mesh, also when turned by hand: guard each mesh before anything "
        "turns.",
    ),
)  # fmt: skip
