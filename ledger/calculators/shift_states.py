"""Shift states: positions, steps, forks, pairing and the bind check of a sequential gearbox, declared."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ledger.calculators.contract import Calculator, Choice, Number, Output, Rows, Text, Truth, Whole
from ledger.mechanics.hub_pairing import tidy
from ledger.mechanics.shift_states import MOST_GEARS, shift_states

if TYPE_CHECKING:
    from pandas import DataFrame

COLUMNS = {"ratios": ("gear", "ratio"), "hubs": ("hub", "left", "right", "actuator", "members")}
NEEDED = {"ratios": ("gear", "ratio"), "hubs": ("hub", "left", "right")}


def compute(
    gears: float,
    ratios: list[dict[str, Any]],
    hubs: list[dict[str, Any]],
    reverse: bool,
    neutral: bool,
    overlap: str,
    members: str,
    actuators: float,
    load_reversed: bool,
) -> dict[str, Any]:
    """Return every declared output by name; no hubs means the usual pairing, no ratios unknown ones."""
    return dict(
        shift_states(
            gears,
            hubs=hubs or None,
            ratios=ratios or None,
            reverse=reverse,
            neutral=neutral,
            overlap=overlap,
            members=members,
            actuators=actuators,
            load_reversed=load_reversed,
        )
    )


def tables(gears: DataFrame | None = None, hubs: DataFrame | None = None) -> dict[str, Any]:
    """Return the inputs that pandas tables give: `gears` and `ratios` from one of gears, `hubs` from one of hubs.

    gears  columns gear and, if known, ratio; reverse (R) is left out of the count and sets `reverse`
    hubs   columns hub, left, right, and if need be actuator and members

    Heads of columns may be in capitals; an empty cell is no gear, or takes the column's default.
    Errors: ValueError naming every column that is missing or unknown, and gears that are not 1, 2, 3 …
    """
    faults: list[str] = []
    inputs: dict[str, Any] = {}
    if gears is not None:
        rows = _rows(gears, "ratios", ("gear",), faults)
        forward = [row for row in rows if str(row.get("gear", "")).upper() != "R"]
        names = [str(row.get("gear", "")) for row in forward]
        if not names or sorted(names) != sorted(str(gear) for gear in range(1, len(names) + 1)):
            faults.append(f"The gears are {', '.join(names) or 'none'}; expected 1, 2, 3 … once each; R is reverse.")
        inputs["gears"] = len(forward)
        if len(forward) < len(rows):
            inputs["reverse"] = True
        with_ratio = [row for row in forward if "ratio" in row]
        if with_ratio:
            inputs["ratios"] = with_ratio
    if hubs is not None:
        inputs["hubs"] = _rows(hubs, "hubs", NEEDED["hubs"], faults)
    if faults:
        raise ValueError(" ".join(faults))
    return inputs


def _rows(frame: DataFrame, table: str, needed: tuple[str, ...], faults: list[str]) -> list[dict[str, Any]]:
    import pandas  # slow to load, and only those who bring tables need it

    heads = [str(head).strip().lower() for head in frame.columns]
    missing = [name for name in needed if name not in heads]
    unknown = [name for name in heads if name not in COLUMNS[table]]
    if missing:
        faults.append(f"The table of {table} lacks {', '.join(missing)}.")
    if unknown:
        faults.append(f"The table of {table} has unknown {', '.join(unknown)}; known are {', '.join(COLUMNS[table])}.")
    cells = (zip(heads, row, strict=True) for row in frame.itertuples(index=False, name=None))
    return [{head: _cell(head, cell) for head, cell in row if not pandas.isna(cell) and cell != ""} for row in cells]


def _cell(head: str, cell: Any) -> str | float:
    """Return a cell as an entry would give it: a ratio as a number unless it states a doubt, the rest as names."""
    if head != "ratio":
        return str(tidy(cell))
    try:
        return float(cell)
    except ValueError:
        return str(cell).strip()


SHIFT_STATES = Calculator(
    name="shift-states",
    title="Shift states",
    purpose=(
        "How many positions and steps each actuator of a sequential gearbox needs, where every fork stands in every "
        "state, whether a pairing of gears on hubs can work, and whether two gears held at once bind."
    ),
    inputs=(
        Whole("gears", "Forward gears", low=1, high=MOST_GEARS),
        Rows(
            "ratios",
            "Ratio of every gear, input speed over output speed, lowest gear first",
            (Text("gear", "Gear"), Number("ratio", "Ratio", low=0.0, above=True)),
            optional=True,
        ),
        Rows(
            "hubs",
            "Gears on hubs; without them each gear shares a hub with the next but one",
            (
                Text("hub", "Hub"),
                Text("left", "Gear on the left (R for reverse)", default=""),
                Text("right", "Gear on the right (R for reverse)", default=""),
                Text("actuator", "Actuator; left empty, hubs are dealt in turn", default=""),
                Choice(
                    "members", "Drive and coast sides move", ("as the box", "apart", "together"), default="as the box"
                ),
            ),
            optional=True,
        ),
        Truth("reverse", "Reverse gear", default=False),
        Truth("neutral", "Neutral counted as a position", default=True),
        Choice(
            "overlap",
            "Overlap: held as a dwell, passed through against a spring, or none (a gap in every shift)",
            ("dwell", "spring", "none"),
            default="dwell",
        ),
        Choice("members", "Drive-side and coast-side members of a fork move", ("apart", "together"), default="apart"),
        Whole(
            "actuators", "Actuators sharing the work (0: as the hubs say, or one)", low=0, high=MOST_GEARS, default="0"
        ),
        Truth("load_reversed", "Load turned round before shifting up coasting or down driving", default=False),
    ),
    outputs=(
        Output("positions", "Positions of the busiest actuator, neutral counted as asked", form="whole"),
        Output("steps", "Steps of the busiest actuator, neutral counted as asked", form="whole"),
        Output("positions_without_neutral", "Positions of the busiest actuator, neutral not counted", form="whole"),
        Output("steps_without_neutral", "Steps of the busiest actuator, neutral not counted", form="whole"),
        Output("positions_with_neutral", "Positions of the busiest actuator, neutral counted", form="whole"),
        Output("steps_with_neutral", "Steps of the busiest actuator, neutral counted", form="whole"),
        Output(
            "positions_by_member",
            "Positions of the busiest actuator if it sets drive and coast sides itself, neutral counted as asked",
            form="whole",
        ),
        Output("actuators_needed", "Fewest actuators none of which ever holds two gears at once", form="whole"),
        Output("pairing_workable", "No sleeve is shared by two gears that overlap", form="truth"),
        Output("no_overlap_binds", "No overlap binds", form="truth"),
        Output("gap_free", "Up while driving and down while coasting, the arriving gear takes over", form="truth"),
        Output("actuator_places", "Positions and steps of each actuator", form="rows"),
        Output("states", "States in order", form="rows"),
        Output("fork_positions", "Where every fork stands in every state", form="rows"),
        Output("shifts", "Moves of every step, up and down", form="rows"),
        Output("overlaps", "Who carries and who overruns in every overlap", form="rows"),
        Output("chart", "State chart: offset of every track at every state (-1 left, 0 neutral, 1 right)", form="rows"),
        Output("reasons", "Why it works or does not", form="text"),
    ),
    formula=(
        "The states are enumerated: R (if any), N (if counted), 1, 1+2, 2, 2+3 … n; held overlaps are states. "
        "An actuator's positions are the runs of what it holds along them, its steps one fewer.\n\n"
        "With the ratio *i* = ω_in / ω_out, an engaged drive side of gear *k* keeps ω_in ≤ *i_k* ω_out, an engaged "
        "coast side keeps ω_in ≥ *i_k* ω_out. The box turns while max *i* over coast sides ≤ min *i* over drive sides, "
        "else it locks. Driving, the drive side of smallest *i* carries; coasting, the coast side of greatest *i*; the "
        "other gear overruns.\n\n"
        "Figures quoted for eight gears mix conventions. Two drums “with nine positions” counts positions with neutral "
        "(9 and 8; without it 8 and 8). One drum “with fourteen” counts steps without neutral (15 positions, 14 steps; "
        "with neutral 16 and 15)."
    ),
    sources=(
        "Quoted for eight gears, two drums with nine positions each, one with fourteen: common practice, no source.",
        "States and positions: enumerated here.",
        "Which member carries and which overruns: derived here from the flanks as one-sided stops.",
    ),
    assumptions=(
        "Each forward gear overlaps the next and no other; reverse overlaps nothing and lies beyond neutral.",
        "Without neutral counted, a drum passes neutral between reverse and first without a position for it.",
        "A drum does not turn back on its way up: the same holding met again later is a position of its own.",
        "Positions count gears; drive and coast sides then part by themselves within a position. An actuator that sets "
        "them itself needs the positions counted by member, and sharing the work between drums then gains little.",
        "Hubs that name no actuator are dealt to the actuators in turn.",
        "Members apart move in the one order that suits all four shifts: coast side of the upper gear in, of the lower "
        "out, drive side of the upper in, of the lower out; downwards the same undone.",
        "A dwell drags a loaded member out; against a spring it stays in until unloaded while the other tracks go on. "
        "An interlock that keeps the next member back is not modelled.",
        "A hub whose members change roles, the coast side of one gear being the drive side of the next, is not "
        "modelled: it might carry two gears that overlap.",
        "Flanks are rigid and dogs always find a gap; impact on engagement is not computed.",
    ),
    cautions=(
        "Forks, sleeves and dogs pinch and shear: keep fingers out of a model whose actuator can move, by hand too.",
        "Rotating parts: guard them. A box that locks while turning stops or throws its parts at once.",
        "Springs that hold a waiting fork let go without notice.",
        "For understanding and for models only; not for rating a part that carries people.",
    ),
    compute=compute,
    vectorised=False,
)
