"""Shift states, fork positions, the pairing check and the bind check of a sequential gearbox, together.

The sequence stands in `shift_sequence`, hubs and pairings in `hub_pairing`, who carries and who overruns in
`bind_check`.
"""

from __future__ import annotations

from ledger.mechanics.bind_check import DRIVE, UP
from ledger.mechanics.hub_pairing import actuators_needed, clashes, gears_of, read_hubs, tidy
from ledger.mechanics.maths import every
from ledger.mechanics.shift_rows import actuator_row, chart_rows, fork_rows, overlap_rows, shift_rows, state_rows
from ledger.mechanics.shift_sequence import DWELL, NO_OVERLAP, SPRING, sequence

MOST_GEARS = 24


def shift_states(
    gears,
    hubs=None,
    ratios=None,
    reverse=False,
    neutral=True,
    overlap=DWELL,
    members="apart",
    actuators=0,
    load_reversed=False,
):
    """Return states, places, fork positions, the pairing check and the bind check, as a dict of values and rows.

    gears          forward gears, 1 to 24
    hubs           rows `hub`, `left`, `right` (gear, "R" or ""), `actuator`, `members`; None for the usual pairing
    ratios         rows `gear`, `ratio` (input over output speed [-], strictly decreasing); None if not known
    reverse        whether there is a reverse gear
    neutral        whether `positions`, `steps` and the rows count neutral
    overlap        "dwell" (held), "spring" (passed through against a spring) or "none" (ordinary shifting with a gap)
    members        "apart" or "together", for hubs that do not say
    actuators      how many share the work; 0 as the hubs say, or one
    load_reversed  the load is turned round before the difficult shifts: up while coasting, down while driving

    Errors: ValueError naming every impossible input at once.
    """
    faults = [
        f"{given:g} {name} given; expected a whole number from {least} to {MOST_GEARS}."
        for name, given, least in (("gears", gears, 1), ("actuators", actuators, 0))
        if not least <= given <= MOST_GEARS or given != int(given)
    ]
    countable = not faults
    for word, options in ((overlap, (DWELL, SPRING, NO_OVERLAP)), (members, ("apart", "together"))):
        if word not in options:
            faults.append(f"{word!r} given; expected one of {', '.join(options)}.")
    if countable:
        gears, actuators = int(gears), int(actuators)
        hubs = read_hubs(hubs, gears, reverse, members, actuators, faults)
        known = _read_ratios(ratios, gears, faults)
    if faults:
        raise ValueError(" ".join(faults))
    apart = {gear: hub["apart"] for hub in hubs for gear in gears_of(hub)}
    pairs = [(hub["left"], hub["right"]) for hub in hubs]
    states = sequence(gears, apart, reverse, neutral, overlap)
    teams = _teams(hubs)
    table = [actuator_row(name, own, gears, apart, reverse, neutral, overlap) for name, own in teams.items()]
    clashing = clashes(pairs) if overlap != NO_OVERLAP else []
    overlaps = overlap_rows(gears, apart, overlap, load_reversed, known)
    with_neutral, without = (max(row[f"positions_{way}_neutral"] for row in table) for way in ("with", "without"))
    positions = with_neutral if neutral else without
    by_member = max(row[f"positions_by_member_{'with' if neutral else 'without'}_neutral"] for row in table)
    easy = [row for row in overlaps if (row["direction"] == UP) == (row["load"] == DRIVE)]
    return {
        "positions": positions,
        "steps": positions - 1,
        "positions_without_neutral": without,
        "steps_without_neutral": without - 1,
        "positions_with_neutral": with_neutral,
        "steps_with_neutral": with_neutral - 1,
        "positions_by_member": by_member,
        "actuators_needed": actuators_needed(pairs) if overlap != NO_OVERLAP else 1,
        "pairing_workable": not clashing,
        "no_overlap_binds": not clashing and not any(row["binds"] for row in overlaps),
        "gap_free": bool(easy) and not clashing and all(_free(row) for row in easy),
        "actuator_places": table,
        "states": state_rows(states, teams),
        "fork_positions": fork_rows(states, hubs),
        "shifts": shift_rows(states, teams, apart, overlap),
        "overlaps": overlaps,
        "chart": chart_rows(states, hubs),
        "reasons": _reasons(clashing, overlaps, positions, by_member),
    }


def _free(row):
    """Return whether an overlap is crossed without a bind and without dragging out a member that carries."""
    return row["under_load"] == "none" and not row["binds"]


def _read_ratios(rows, gears, faults):
    """Return ratios by gear, or None; a ratio may be a float or an array of draws."""
    if not rows:
        return None
    known = {}
    for row in rows:
        gear = tidy(row.get("gear"))
        if not (gear.isdecimal() and 1 <= int(gear) <= gears):
            faults.append(f"The ratio of gear {gear or '(no name)'} is given; the gears are 1 to {gears}.")
        elif int(gear) in known:
            faults.append(f"The ratio of gear {gear} is given twice.")
        else:
            known[int(gear)] = row["ratio"]
    missing = [str(gear) for gear in range(1, gears + 1) if gear not in known]
    if missing:
        faults.append(f"No ratio for gear {', '.join(missing)}; give all or none.")
        return None
    faults += [f"The ratio of gear {gear} is not above zero." for gear in known if not every(known[gear] > 0)]
    for gear in range(2, gears + 1):
        if not every(known[gear] < known[gear - 1]):
            faults.append(f"The ratio of gear {gear} is not below that of gear {gear - 1}; list the lowest gear first.")
    return known


def _teams(hubs):
    """Return the set of gears of each actuator, by its name."""
    teams = {}
    for hub in hubs:
        teams.setdefault(hub["actuator"], set()).update(gears_of(hub))
    return teams


def _reasons(clashing, overlaps, positions, by_member):
    """Return in words why the pairing and the overlaps work or do not."""
    if not overlaps:
        return "No two gears are held at once, so any pairing works and nothing can bind; every shift has a gap."
    said = [
        f"Gears {pair[0]} and {pair[1]} overlap and share a hub; one sleeve cannot be on both sides at once."
        for pair in clashing
    ] or ["No hub carries two gears that overlap."]
    binding = [row for row in overlaps if row["binds"]]
    alike = {}
    for name in dict.fromkeys(row["overlap"] for row in binding):
        cases = tuple(f"{row['direction']} on {row['load']}" for row in binding if row["overlap"] == name)
        alike.setdefault(cases, []).append(name)
    for cases, names in alike.items():
        said.append(
            f"Overlap {', '.join(names)} locks ({', '.join(cases)}): the coast side of the lower gear would hold the "
            "input to no less than its speed there, the drive side of the upper gear to no more than its slower speed."
        )
    forced = [row for row in overlaps if not row["binds"] and row["under_load"] != "none"]
    if forced:
        said.append(
            f"{len(forced)} of {len(overlaps)} crossings drag a member out while it carries; "
            "turning the load round first, by throttle or clutch, would free it."
        )
    if not binding:
        said.append("In every overlap one gear carries and the other can overrun.")
    if by_member > positions:
        said.append(f"An actuator that sets drive and coast sides itself needs {by_member} positions, not {positions}.")
    return " ".join(said)
