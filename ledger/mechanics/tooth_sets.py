"""Whole sets of tooth pairs on one centre distance, weighed by enumeration.

The unknowns of a box are its module, the common sum of teeth S, the centre distance a, what else lies in the path, and
how the ratios were printed; given these the gears are independent of one another, so the posterior of every pair and
of every whole set is a finite sum over `frames` times `cases`.
"""

from __future__ import annotations

import heapq

from ledger.mechanics.tooth_pairs import closing_range, pairs_of_sum

POINTS = 24
NEGLIGIBLE = 1e-10
STEPS = 400


def frames(modules, distance, sums, chances, shifts, pressure, helix):
    """Return the boxes that come into question: module, common sum, permitted differences, weight, mean distance.

    modules   prior chance by module [mm]
    distance  None where it is unknown; {"value"} for an exact one; {"low", "high", "density"} for a measured one [mm]
    sums      least and greatest sum of teeth
    chances   prior chance of a pair's sum to differ from the common one, by difference
    shifts    least and greatest profile shift sum

    Every whole S of the range has the same prior. Given it, a is spread evenly over what the shift sums close, and is
    measured with the density stated: the weight is P(m) ∫ p(a) q(a) da, by the midpoint rule. A pair of sum S + d is
    permitted where the shift sums close a; the chances of the permitted ones are brought back to one.
    """
    made = {}
    for module, prior in modules.items():
        low, high = sums
        reach = {}
        if distance is not None:
            reach = {
                total: closing_range(module, total, shifts[0], shifts[1], pressure, helix)
                for total in range(low, high + 1)
            }
        for total in range(low, high + 1):
            for at, weight in _places(distance, reach.get(total)):
                permitted = tuple(
                    size
                    for size in chances
                    if low <= total + size <= high and (at is None or _within(at, reach[total + size]))
                )
                entry = made.setdefault((module, total, permitted), [0.0, 0.0])
                entry[0] += prior * weight
                entry[1] += prior * weight * (at or 0.0)
    found = []
    for (module, total, permitted), (weight, moment) in made.items():
        whole = sum(chances[size] for size in permitted)
        if weight > 0 and whole > 0:
            shares = {size: chances[size] / whole for size in permitted}
            mean = moment / weight if distance is not None else None
            found.append({"module": module, "sum": total, "shares": shares, "weight": weight, "distance": mean})
    return found


def _places(distance, reach):
    """Return centre distances within the reach of a sum, each with its weight."""
    if distance is None:
        return [(None, 1.0)]
    low, high = reach
    wide = high - low > 1e-9 * high
    if "value" in distance:
        if not _within(distance["value"], reach):
            return []
        return [(distance["value"], 1.0 / (high - low) if wide else 1.0)]
    if not wide:
        return [(low, float(distance["density"]([low])[0]))]
    begin, end = max(low, distance["low"]), min(high, distance["high"])
    if end <= begin:
        return []
    step = (end - begin) / POINTS
    at = [begin + (place + 0.5) * step for place in range(POINTS)]
    return [(one, float(q) * step / (high - low)) for one, q in zip(at, distance["density"](at), strict=True)]


def _within(at, reach):
    slack = 1e-9 * at
    return reach[0] - slack <= at <= reach[1] + slack


def by_sum(pairs, least, most):
    """Return likelihoods by sum of teeth: {S: [(pair, L/n(S)), …]}; every split of S into n(S) pairs is as likely."""
    table = {}
    for pair, value in pairs.items():
        total = pair[0] + pair[1]
        table.setdefault(total, []).append((pair, value / pairs_of_sum(total, least, most)))
    return table


def weigh_sets(boxes, cases, shared, span, most):
    """Return the posterior of everything, as a dict; "evidence" is P(all that is stated), 0 where nothing fits.

    boxes   see `frames`; they carry P(module) and the weight of the distance
    span    number of sums in the range; each has the prior 1/span
    cases   list of {"name", "prior", "tables"}, a table of every gear, see `by_sum`, under each case
    shared  by gear, whether its pair lies on the common distance; if not, its sum is any, all alike
    most    how many whole sets to return

    P(box, case | stated) ∝ P(m) P(S) ∫ p q da · P(case) · Π_g Σ_d P(d) Σ_pairs L/n(S + d)
    """
    states, total = [], 0.0
    for place, case in enumerate(cases):
        free = [None if on else _merge(table, span) for on, table in zip(shared, case["tables"], strict=True)]
        for box in boxes:
            weight = box["weight"] * case["prior"] / span
            gears = []
            for table, alone in zip(case["tables"], free, strict=True):
                found = alone if alone is not None else _choices(table, box)
                part = sum(found.values())
                weight *= part
                if weight <= 0:
                    break
                gears.append((found, part))
            if weight > 0:
                states.append((weight, place, box, gears))
                total += weight
    if total <= 0:
        return {"evidence": 0.0}
    certain = sum(weight for weight, *_ in states if weight > NEGLIGIBLE * total)
    kept = [
        (weight / certain, place, box, [{pair: one / part for pair, one in found.items()} for found, part in gears])
        for weight, place, box, gears in states
        if weight > NEGLIGIBLE * total
    ]
    return {
        "evidence": total,
        "pairs": [_mixed(kept, gear) for gear in range(len(shared))],
        "sums": _shares(kept, lambda place, box: box["sum"]),
        "modules": _shares(kept, lambda place, box: box["module"]),
        "cases": _shares(kept, lambda place, box: place),
        "boxes": [(share, box) for share, _, box, _ in kept],
        **likeliest_sets(kept, len(shared), most),
    }


def _merge(table, span):
    everything = [one for rows in table.values() for one in rows]
    return {pair: value / span for pair, value in everything}


def _choices(table, box):
    found = {}
    for size, share in box["shares"].items():
        for pair, value in table.get(box["sum"] + size, ()):
            found[pair] = share * value
    return found


def _mixed(kept, gear):
    mixed = {}
    for share, _, _, gears in kept:
        for pair, chance in gears[gear].items():
            mixed[pair] = mixed.get(pair, 0.0) + share * chance
    return _ranked(mixed)


def _shares(kept, key):
    shares = {}
    for share, place, box, _ in kept:
        shares[key(place, box)] = shares.get(key(place, box), 0.0) + share
    return _ranked(shares)


def _ranked(chances):
    ranked = sorted(chances.items(), key=lambda one: (-one[1], one[0]))
    return {key: min(chance, 1.0) for key, chance in ranked}


def likeliest_sets(kept, gears, most, steps=STEPS):
    """Return the most probable whole sets, {"sets": [(chance, pairs by gear), …], "certain": …}.

    Best first: a set begun has the probability of all sets that begin so, which is never less than that of any of them,
    so a whole set that comes to the front is the most probable one left. After `steps` openings the search ends, and
    what is begun is completed pair by pair: then "certain" is false, and a more probable set may have been passed over.
    """
    order = sorted(range(gears), key=lambda gear: (len({pair for one in kept for pair in one[3][gear]}), gear))
    heap = [(-1.0, 0, (), {place: one[0] for place, one in enumerate(kept)})]
    found, ticket, opened = [], 0, 0
    while heap and len(found) < most:
        minus, _, begun, parts = heapq.heappop(heap)
        if len(begun) == gears:
            found.append((-minus, begun))
            continue
        opened += 1
        children = _extended(kept, order[len(begun)], parts)
        best = max(children, key=lambda pair: sum(children[pair].values()), default=None)
        for pair, share in children.items():
            if opened > steps and pair != best:
                continue
            ticket += 1
            heapq.heappush(heap, (-sum(share.values()), ticket, (*begun, pair), share))
    sets = [(chance, tuple(begun[order.index(gear)] for gear in range(gears))) for chance, begun in found]
    return {"sets": sorted(sets, key=lambda one: -one[0]), "certain": opened <= steps}


def _extended(kept, gear, parts):
    children = {}
    for place, share in parts.items():
        for pair, chance in kept[place][3][gear].items():
            children.setdefault(pair, {})[place] = share * chance
    return children
