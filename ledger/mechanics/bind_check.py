"""Which engaged member carries, which overruns, and whether two engaged gears lock a gearbox.

Every gear has two members: a drive side, whose flank carries when the input pushes, and a coast side, whose flank
carries when the output pushes back. With the ratio i_k = input speed over output speed in gear k, and the output
turning at w > 0:

    drive side of gear k engaged    the input cannot run ahead of the gear      w_in <= i_k w
    coast side of gear k engaged    the input cannot fall behind the gear       w_in >= i_k w

So the engaged members leave the input a window, in units of the output speed:

    least = max of i_k over engaged coast sides (0 if none)
    most  = min of i_k over engaged drive sides (endless if none)

least <= most: the box turns. The input is pushed to one end of its window, and the member that sets that end carries:
when driving the smallest drive side (the higher gear), when coasting the greatest coast side (the lower gear). Every
other member's flanks part; it overruns. least > most: no input speed suits both, and the box locks whichever way it
is loaded. With a lower gear i and an upper gear j, i_i > i_j, just one pair of members does that: coast side of the
lower together with drive side of the upper. Members moved together always make that pair in an overlap; so an
ordinary dog box binds. A reverse gear has i < 0; its drive side beside any forward gear leaves only w_in <= 0, which
is a lock too.

Moved apart, members can pass from gear to gear in one order that never makes the pair:

    coast side of upper in, coast side of lower out, drive side of upper in, drive side of lower out

and downwards the same undone.

Up while driving, and down while coasting, every member goes out unloaded and the arriving gear takes over. Up while
coasting and down while driving are the difficult ones: the member to go out is the one that carries. A track that
holds the overlap as a dwell must drag it out under load, and the input then runs through the window until the
arriving gear catches it; a fork that gives way against a spring leaves it in, the next member comes in, and the box
locks; unless the load is turned round first. Members are pairs (gear, side); moves are pairs ("in" or "out",
members).
"""

from __future__ import annotations

from math import inf

DRIVE = "drive"
COAST = "coast"
UP = "up"
DOWN = "down"


def both_sides(gear):
    """Return the drive-side and coast-side member of a gear."""
    return ((gear, DRIVE), (gear, COAST))


def speed_window(engaged, ratios):
    """Return the least and the most input speed, over output speed, that the engaged members leave [-].

    engaged  members (gear, side)
    ratios   input speed over output speed by gear [-], > 0; reverse < 0
    """
    least = max((ratios[gear] for gear, side in engaged if side == COAST), default=0.0)
    most = min((ratios[gear] for gear, side in engaged if side == DRIVE), default=inf)
    return max(least, 0.0), most


def locks(engaged, ratios):
    """Return whether no forward input speed suits the engaged members."""
    least, most = speed_window(engaged, ratios)
    return least > most or most <= 0.0


def carrier(engaged, ratios, load):
    """Return the member that carries under a load, "drive" or "coast", or None where nothing does."""
    of_side = [member for member in engaged if member[1] == load]
    if not of_side:
        return None
    if load == DRIVE:
        return min(of_side, key=lambda member: ratios[member[0]])
    return max(of_side, key=lambda member: ratios[member[0]])


def who_carries(engaged, ratios, load):
    """Return a dict: `locks`, the gear that `carries` (None if none does) and the tuple of gears that `overruns`."""
    gears = sorted({gear for gear, _ in engaged})
    if locks(engaged, ratios):
        return {"locks": True, "carries": None, "overruns": ()}
    loaded = carrier(engaged, ratios, load)
    carrying = None if loaded is None else loaded[0]
    return {"locks": False, "carries": carrying, "overruns": tuple(gear for gear in gears if gear != carrying)}


def overlap_moves(lower, upper, lower_apart, upper_apart):
    """Return the moves from the lower gear to the upper, in order, and after how many of them an overlap is held.

    Where both gears' members move apart this is the one order that suits all four shifts. Where one gear's move
    together, the order avoids the locking pair, but one side must leave before its successor comes. Where both
    move together the overlap is the locking pair.
    """
    lower_drive, lower_coast = both_sides(lower)
    upper_drive, upper_coast = both_sides(upper)
    if lower_apart and upper_apart:
        moves = [("in", (upper_coast,)), ("out", (lower_coast,)), ("in", (upper_drive,)), ("out", (lower_drive,))]
        return moves, 2
    if upper_apart:
        return [("in", (upper_coast,)), ("out", (lower_drive, lower_coast)), ("in", (upper_drive,))], 1
    if lower_apart:
        return [("out", (lower_coast,)), ("in", (upper_drive, upper_coast)), ("out", (lower_drive,))], 2
    return [("in", (upper_drive, upper_coast)), ("out", (lower_drive, lower_coast))], 1


def turned_round(moves):
    """Return the moves that undo moves."""
    return [("out" if action == "in" else "in", members) for action, members in reversed(moves)]


def make_moves(engaged, moves):
    """Return the members engaged after moves."""
    engaged = set(engaged)
    for action, members in moves:
        engaged = engaged | set(members) if action == "in" else engaged - set(members)
    return frozenset(engaged)


def cross(start, moves, load, sprung, ratios):
    """Walk through moves under a load; return what happens as a dict.

    through  the sets of members engaged on the way, up to a lock
    binds    whether the box locks
    forced   members that had to go out while they carried
    open     whether the load found nothing to carry it at some moment
    sprung   (given) a member that carries stays in against its spring until it is unloaded
    """
    engaged, through, forced, waiting, left_open = frozenset(start), [], [], [], False
    for action, members in moves:
        if action == "in":
            engaged = engaged | frozenset(members)
            # A lock comes with the engagement itself, before a waiting member could be let go.
            if locks(engaged, ratios):
                through.append(engaged)
                return {"through": through, "binds": True, "forced": forced, "open": left_open}
        else:
            waiting.append(members)
        staying = []
        for leaving in waiting:
            loaded = carrier(engaged, ratios, load)
            if loaded in leaving and loaded not in forced:
                forced.append(loaded)
            if sprung and loaded in leaving:
                staying.append(leaving)
            else:
                engaged = engaged - frozenset(leaving)
        waiting = staying
        if not through or engaged != through[-1]:
            through.append(engaged)
        left_open = left_open or carrier(engaged, ratios, load) is None
    return {"through": through, "binds": False, "forced": forced, "open": left_open}


def name_member(member):
    """Return `drive 1` for the drive side of gear 1."""
    return f"{member[1]} {name_gear(member[0])}"


def name_gear(gear):
    """Return a gear's name: R for reverse."""
    return "R" if gear < 0 else str(gear)


def name_members(engaged):
    """Return the engaged members as words, lower gears first, drive side first; `none`."""
    ordered = sorted(engaged, key=lambda member: (member[0], member[1] != DRIVE))
    return " + ".join(name_member(member) for member in ordered) or "none"


def name_moves(moves):
    """Return moves as words, in order."""
    return ", ".join(f"{' and '.join(name_member(member) for member in members)} {action}" for action, members in moves)


def cross_overlap(lower, upper, apart, direction, load, ratios, sprung=False, load_reversed=False):
    """Return what happens in the overlap of two gears, one way and under one load, as a row.

    apart          whether each gear's members move apart, by gear
    direction      "up" from lower to upper, or "down"
    load           "drive" or "coast", before the shift
    load_reversed  the load is turned round before a difficult shift (up while coasting, down while driving)
    """
    moves, _ = overlap_moves(lower, upper, apart[lower], apart[upper])
    leaving = lower if direction == UP else upper
    easy = DRIVE if direction == UP else COAST
    met = easy if load_reversed else load
    crossing = cross(both_sides(leaving), moves if direction == UP else turned_round(moves), met, sprung, ratios)
    shared = [engaged for engaged in crossing["through"] if len({gear for gear, _ in engaged}) == 2]
    found = [who_carries(engaged, ratios, met) for engaged in shared]
    return {
        "overlap": f"{lower}+{upper}",
        "direction": direction,
        "load": load,
        "load_met": met,
        "engaged": " → ".join(name_members(engaged) for engaged in shared),
        "carries": " → ".join("locked" if one["locks"] else name_carrying(one["carries"]) for one in found),
        "overruns": " → ".join(", ".join(str(gear) for gear in one["overruns"]) or "none" for one in found),
        "binds": crossing["binds"],
        "under_load": ", ".join(name_member(member) for member in crossing["forced"]) or "none",
        "handover": name_handover(crossing),
    }


def name_carrying(gear):
    """Return the gear that carries as a word."""
    return "nothing" if gear is None else str(gear)


def name_handover(crossing):
    """Return in words how the load passes."""
    if crossing["binds"]:
        return "locks"
    if not crossing["forced"]:
        return "arriving gear takes over"
    if crossing["open"]:
        return "withdrawn under load, nothing carries meanwhile"
    return "withdrawn under load, arriving gear catches"
