"""Gears on hubs: which pairings can work, and how many actuators they need.

A hub is a dict: `hub` its name, `left` and `right` a gear or None, `actuator` its name, `apart` whether its drive-
side and coast-side members move apart. Gears are 1 to n, lowest first; reverse is -1. In gap-free shifting each gear
overlaps the next, so two neighbours cannot share a sleeve: it would have to be on both sides at once. Reverse
overlaps nothing.
"""

from __future__ import annotations

from ledger.mechanics.bind_check import name_gear

REVERSE = -1


def overlap_each_other(one, other):
    """Return whether two gears are held at once in gap-free shifting."""
    return one > 0 and other > 0 and abs(one - other) == 1


def gears_of(hub):
    """Return the gears on a hub, left first."""
    return tuple(gear for gear in (hub["left"], hub["right"]) if gear is not None)


def usual_pairing(gears, reverse=False):
    """Return pairs (left, right or None): each gear with the next but one, 1-3, 2-4, 5-7, 6-8; reverse alone."""
    pairs, placed = [], set()
    for gear in range(1, gears + 1):
        if gear in placed:
            continue
        partner = gear + 2 if gear + 2 <= gears else None
        placed.update({gear, partner})
        pairs.append((gear, partner))
    return pairs + ([(REVERSE, None)] if reverse else [])


def name_pair(pair):
    """Return `1-3` for a pair, `9` for a gear alone."""
    return "-".join(name_gear(gear) for gear in pair if gear is not None)


def clashes(pairs):
    """Return the pairs that put two overlapping gears on one sleeve."""
    return [pair for pair in pairs if None not in pair and overlap_each_other(pair[0], pair[1])]


def actuators_needed(pairs):
    """Return the fewest actuators that can share the hubs so that none ever holds two gears at once.

    Hubs whose gears overlap need different actuators: the fewest colours of that graph, found by search.
    """
    apart = [
        {k for k, other in enumerate(pairs) if k != m and _any_overlap(pair, other)} for m, pair in enumerate(pairs)
    ]
    order = sorted(range(len(pairs)), key=lambda m: -len(apart[m]))
    count = 1
    while not _coloured(order, apart, count, {}):
        count += 1
    return count


def _any_overlap(pair, other):
    return any(one is not None and two is not None and overlap_each_other(one, two) for one in pair for two in other)


def _coloured(order, apart, count, colours):
    if len(colours) == len(order):
        return True
    hub = order[len(colours)]
    # A colour beyond the first unused one only renames it.
    for colour in range(min(count, len(set(colours.values())) + 1)):
        if all(colours.get(neighbour) != colour for neighbour in apart[hub]) and _coloured(
            order, apart, count, {**colours, hub: colour}
        ):
            return True
    return False


def read_hubs(rows, gears, reverse, members, actuators, faults):
    """Return hubs from rows of words; append to `faults` a sentence for everything wrong.

    rows       dicts with `hub`, `left`, `right`, and if need be `actuator` and `members`; None for the usual pairing
    members    "apart" or "together", for hubs that do not say
    actuators  how many share the work; 0 as the rows say, or one
    """
    if rows is None:
        pairs = usual_pairing(gears, reverse)
        rows = [{"hub": name_pair(pair), "left": _written(pair[0]), "right": _written(pair[1])} for pair in pairs]
    hubs = []
    for row in rows:
        name = tidy(row.get("hub"))
        sides = [_read_gear(row.get(side), name, gears, faults) for side in ("left", "right")]
        own = tidy(row.get("members")) or "as the box"
        if own not in ("as the box", "apart", "together"):
            faults.append(f"Hub {name}: members {own!r}; write apart, together or as the box.")
        if not (tidy(row.get("left")) or tidy(row.get("right"))):
            faults.append(f"Hub {name or '(no name)'} has no gear.")
        if not name:
            faults.append("A hub has no name.")
        hubs.append(
            {
                "hub": name,
                "left": sides[0],
                "right": sides[1],
                "actuator": tidy(row.get("actuator")),
                "apart": (members if own == "as the box" else own) == "apart",
            }
        )
    names = [hub["hub"] for hub in hubs]
    faults += [f"Hub {name} stands in {names.count(name)} rows." for name in _repeated(names) if name]
    _check_places(hubs, gears, reverse, faults)
    _deal(hubs, actuators, faults)
    return hubs


def tidy(cell):
    """Return a cell as words: 1, 1.0 and "1" are one name; an empty cell is no name."""
    if cell is None:
        return ""
    if isinstance(cell, float) and cell.is_integer():
        return str(int(cell))
    return str(cell).strip()


def _written(gear):
    return "" if gear is None else name_gear(gear)


def _read_gear(cell, hub, gears, faults):
    words = tidy(cell)
    if words in ("", "-"):
        return None
    if words.upper() == "R":
        return REVERSE
    if words.isdecimal() and 1 <= int(words) <= gears:
        return int(words)
    faults.append(f"Gear {words} on hub {hub} is not among the gears 1 to {gears}.")
    return None


def _repeated(names):
    return [name for k, name in enumerate(names) if name in names[k + 1 :] and name not in names[:k]]


def _check_places(hubs, gears, reverse, faults):
    for gear in [*range(1, gears + 1), REVERSE]:
        places = [hub["hub"] for hub in hubs for own in gears_of(hub) if own == gear]
        if len(places) > 1:
            faults.append(f"Gear {name_gear(gear)} stands {len(places)} times, on {', '.join(places)}; place it once.")
        if gear == REVERSE and places and not reverse:
            faults.append(f"Reverse stands on hub {places[0]} but `reverse` is no.")
        if not places and (gear != REVERSE or reverse):
            faults.append(f"Gear {name_gear(gear)} has no hub.")


def _deal(hubs, actuators, faults):
    """Deal hubs to actuators in turn where no row names one."""
    named = [hub["hub"] for hub in hubs if hub["actuator"]]
    if named and len(named) < len(hubs):
        unnamed = ", ".join(hub["hub"] for hub in hubs if not hub["actuator"])
        faults.append(f"Hubs {unnamed} name no actuator while others do; name all or none.")
        return
    count = len({hub["actuator"] for hub in hubs}) if named else max(1, actuators)
    if named and actuators not in (0, count):
        faults.append(f"The hubs name {count} actuators but `actuators` is {actuators}; leave it 0 or make them agree.")
    if count > len(hubs):
        faults.append(f"{count} actuators for {len(hubs)} hubs; an actuator needs a hub of its own.")
    if not named:
        for k, hub in enumerate(hubs):
            hub["actuator"] = name_actuator(k % count)


def name_actuator(number):
    """Return A, B, C … for 0, 1, 2 …, and A2, B2 … after Z."""
    letter = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"[number % 26]
    return letter if number < 26 else f"{letter}{number // 26 + 1}"
