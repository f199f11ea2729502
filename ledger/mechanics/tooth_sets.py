"""Whole sets of tooth pairs on one centre distance, weighed by enumeration.

The unknowns of a box are its module, the common sum of teeth S, the centre distance a, what else lies in the path, and
how the ratios were printed; given these the gears are independent of one another, so the posterior of every pair and
of every whole set is a finite sum over boxes (`tooth_pairs.frames`) times `cases`.
"""

from __future__ import annotations

import heapq
from math import prod

from ledger.mechanics.tooth_pairs import splits_of_sum

NEGLIGIBLE = 1e-10
STEPS = 400
FOLLOWED = 1e-2


def by_sum(pairs, least):
    """Return likelihoods by sum of teeth: {S: [(pair, L/n(S)), …]}; every split of S into n(S) pairs is as likely."""
    table = {}
    for pair, value in pairs.items():
        total = pair[0] + pair[1]
        table.setdefault(total, []).append((pair, value / splits_of_sum(total, least)))
    return table


def weigh_sets(boxes, cases, odd, coarser, sums, most):
    """Return the posterior of everything, as a dict; "evidence" is P(all that is stated), 0 where nothing fits.

    boxes    see `tooth_pairs.frames`; they carry P(module), P(S) and the weight of the distance
    cases    list of {"name", "prior", "tables"}, a table of every gear, see `by_sum`, under each case
    odd      by gear, the chance o that its pair has nothing to do with the common sum: then its sum is any, by P(S)
    coarser  by gear, its module over the common one
    sums     P(S)
    most     how many whole sets to return

    P(box, case | stated) ∝ P(m) P(S) ∫ p q da · P(case) · Π_g [(1 − o) Σ_d P(d) Σ_pairs L/n(S + d) + o Σ_S P(S) L/n(S)]

    "off" is the chance that a gear of o below 1 lies off the common sum.
    """
    states, total, frees = [], 0.0, []
    for place, case in enumerate(cases):
        free = [_merge(table, sums) for table in case["tables"]]
        apart = [chance * sum(alone.values()) for chance, alone in zip(odd, free, strict=True)]
        frees.append(free)
        kept_choices = {}
        for box in boxes:
            weight, gears = box["weight"] * case["prior"], []
            for gear, table in enumerate(case["tables"]):
                key = (gear, box["shares"][coarser[gear]])
                if key not in kept_choices:
                    found = _choices(table, key[1], 1.0 - odd[gear])
                    kept_choices[key] = (found, sum(found.values()))
                found, held = kept_choices[key]
                part = held + apart[gear]
                weight *= part
                if weight <= 0:
                    break
                gears.append((found, held, part))
            if weight > 0:
                states.append((weight, place, box, gears))
                total += weight
    if total <= 0:
        return {"evidence": 0.0}
    certain = sum(weight for weight, *_ in states if weight > NEGLIGIBLE * total)
    kept = [(weight / certain, *rest) for weight, *rest in states if weight > NEGLIGIBLE * total]
    return {
        "evidence": total,
        "off": sum(one[0] * _off(one[3], odd) for one in kept),
        "pairs": [_mixed(kept, gear, odd[gear], frees) for gear in range(len(odd))],
        "sums": _shares(kept, lambda place, box: box["sum"]),
        "modules": _shares(kept, lambda place, box: box["module"]),
        "cases": _shares(kept, lambda place, box: place),
        "boxes": [(share, box) for share, _, box, _ in kept],
        **likeliest_sets(kept, odd, frees, most),
    }


def _merge(table, sums):
    return {pair: value * sums[total] for total, rows in table.items() for pair, value in rows}


def _choices(table, shares, chance):
    if chance <= 0:
        return {}
    there = [(share, table[total]) for total, share in shares if total in table]
    return {pair: chance * share * value for share, rows in there for pair, value in rows}


def _off(gears, odd):
    return 1.0 - prod(min(held / part, 1.0) for (_, held, part), chance in zip(gears, odd, strict=True) if chance < 1)


def _mixed(kept, gear, odd, frees):
    mixed, apart = {}, [0.0] * len(frees)
    for share, place, _, gears in kept:
        found, _, part = gears[gear]
        apart[place] += share * odd / part
        for pair, value in found.items():
            mixed[pair] = mixed.get(pair, 0.0) + share * value / part
    for weight, free in zip(apart, frees, strict=True):
        if weight > 0:
            for pair, value in free[gear].items():
                mixed[pair] = mixed.get(pair, 0.0) + weight * value
    return _ranked(mixed)


def _shares(kept, key):
    shares = {}
    for share, place, box, _ in kept:
        shares[key(place, box)] = shares.get(key(place, box), 0.0) + share
    return _ranked(shares)


def _ranked(chances):
    ranked = sorted(chances.items(), key=lambda one: (-one[1], one[0]))
    return {key: min(chance, 1.0) for key, chance in ranked}


def likeliest_sets(kept, odd, frees, most, steps=STEPS):
    """Return the most probable whole sets, {"sets": [(chance, pairs by gear), …], "certain": …}.

    Best first: a set begun has the probability of all sets that begin so, which is never less than that of any of them,
    so a whole set that comes to the front is the most probable one left. After `steps` openings the search ends, and
    what is begun is completed pair by pair: then "certain" is false, and a more probable set may have been passed over.
    In each box pairs are followed that have a hundredth or more of the likeliest pair's chance there; the chances of
    the sets found count every way to them.
    """
    ranked = [[sorted(one.items(), key=lambda row: -row[1]) for one in free] for free in frees]
    followed = [
        (
            share,
            [
                _followed(gears[gear][0], gears[gear][2], odd[gear], *_of(frees, ranked, place, gear))
                for gear in range(len(odd))
            ],
        )
        for share, place, _, gears in kept
    ]
    order = sorted(range(len(odd)), key=lambda gear: (len({pair for one in followed for pair in one[1][gear]}), gear))
    heap = [(-1.0, 0, (), {place: one[0] for place, one in enumerate(followed)})]
    found, ticket, opened = [], 0, 0
    while heap and len(found) < most:
        _, _, begun, parts = heapq.heappop(heap)
        if len(begun) == len(odd):
            found.append(tuple(begun[order.index(gear)] for gear in range(len(odd))))
            continue
        opened += 1
        children = _extended(followed, order[len(begun)], parts)
        best = max(children, key=lambda pair: sum(children[pair].values()), default=None)
        for pair, share in children.items():
            if opened > steps and pair != best:
                continue
            ticket += 1
            heapq.heappush(heap, (-sum(share.values()), ticket, (*begun, pair), share))
    sets = [(_chance(kept, odd, frees, one), one) for one in found]
    return {"sets": sorted(sets, key=lambda one: -one[0]), "certain": opened <= steps}


def _of(frees, ranked, place, gear):
    return frees[place][gear], ranked[place][gear]


def _followed(found, part, odd, free, ranked):
    followed = {pair: (value + odd * free[pair]) / part for pair, value in found.items()}
    least = FOLLOWED * max((*followed.values(), odd * ranked[0][1] / part))
    followed = {pair: chance for pair, chance in followed.items() if chance >= least}
    for pair, value in ranked:
        if odd * value / part < least:
            break
        followed.setdefault(pair, odd * value / part)
    return followed


def _chance(kept, odd, frees, pairs):
    total = 0.0
    for share, place, _, gears in kept:
        for gear, pair in enumerate(pairs):
            found, _, part = gears[gear]
            share *= (found.get(pair, 0.0) + odd[gear] * frees[place][gear].get(pair, 0.0)) / part
        total += share
    return min(total, 1.0)


def _extended(followed, gear, parts):
    children = {}
    for place, share in parts.items():
        for pair, chance in followed[place][1][gear].items():
            children.setdefault(pair, {})[place] = share * chance
    return children
