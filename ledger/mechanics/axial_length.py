"""Axial length of a stack of parts: worst case, root sum square, drawn; and what one layout saves against another.

A part is a dict:

    part       its name, once in a layout
    quantity   n, pieces of it [-], whole, 0 to 200
    length     dict of `low`, `high` (limits), `nominal` (as a drawing states it), `draws` (value or array), 0 to 10,000
               [mm]
    direction  "adds" or "takes away" (the part closes a gap)
    varies     "piece by piece" (each piece has its own deviation) or "all alike" (one unknown size holds for all)
"""

from __future__ import annotations

from ledger.mechanics.maths import absolute, every, maximum, minimum, sqrt
from ledger.mechanics.permitted import outside

ADDS, TAKES_AWAY = "adds", "takes away"
EACH, ALIKE = "piece by piece", "all alike"
QUANTITY = ("Quantity", "", 0, 200)
LENGTH = ("Length of a part", "mm", 0.0, 10_000.0)


def bounds(terms):
    """Return nominal, worst case and root sum square of a linear chain, as a dict of values [mm].

    nominal    Σ c x
    least      Σ min(c low, c high), the worst case; `greatest` likewise
    middle     Σ c (low + high)/2: unequal limits move it off the nominal
    half_width √(Σ q t²) with t = (high - low)/2

    terms  (c, q, low, high, nominal): c the signed number of pieces, q the sum of squares of the pieces' coefficients,
           which is n where each piece deviates by itself (so √n t) and n² where all are alike (so n t)

    Source: worst case and statistical stack in Budynas and Nisbett, Shigley's Mechanical Engineering Design, ch. 1.
    """
    return {
        "nominal": sum(c * nominal for c, _, _, _, nominal in terms),
        "least": sum(minimum(c * low, c * high) for c, _, low, high, _ in terms),
        "greatest": sum(maximum(c * low, c * high) for c, _, low, high, _ in terms),
        "middle": sum(c * (low + high) / 2 for c, _, low, high, _ in terms),
        "half_width": sqrt(sum(q * ((high - low) / 2) ** 2 for _, q, low, high, _ in terms)),
    }


def term(part):
    """Return a part's term of a chain: c = ±n, q = n piece by piece or n² all alike, and its limits and nominal."""
    quantity = part["quantity"]
    return _term(_sign(part) * quantity, quantity if part["varies"] == EACH else quantity**2, part)


def net_term(part, other):
    """Return the term of a part that stands in both layouts, as the other layout less this one.

    Pieces in both cancel, or count double if they point opposite ways: c = c₂ - c₁, and piece by piece
    q = |n₂ - n₁|, or n₁ + n₂ + 2 min(n₁, n₂) if the directions are opposite; all alike q = c².
    """
    first, second = part["quantity"], other["quantity"]
    c = _sign(other) * second - _sign(part) * first
    if part["varies"] == ALIKE:
        return _term(c, c**2, part)
    if _sign(part) == _sign(other):
        return _term(c, absolute(c), part)
    return _term(c, first + second + 2 * minimum(first, second), part)


def drawn_length(parts, pieces):
    """Return Σ ± (sum of the pieces' drawn lengths) [mm]; piece by piece each has draws of its own, from `pieces`."""
    total = 0.0
    for part in parts:
        draws, quantity = part["length"]["draws"], part["quantity"]
        if part["varies"] == ALIKE:
            total = total + _sign(part) * quantity * draws
        else:
            for place, piece in enumerate(pieces(draws, _most(quantity))):
                total = total + _sign(part) * (quantity > place) * piece
    return total


def repeated(draws, count):
    """Return one length for every piece: right for an exact length, and for drawn ones only if all pieces are alike."""
    return (draws,) * count


def axial_length(layout, other=None, shared=True, pieces=repeated):
    """Return lengths, bounds and what `layout` saves against `other`, as a dict of values, bounds and rows.

    layout  parts of the layout in question
    other   parts of the layout it is compared with; without one it is compared with itself and saves nothing
    shared  parts of one name in both layouts are the same parts: drawn once, so that equal quantities of them cancel
    pieces  pieces(draws, count) gives independent draws of so many pieces from the draws of one

    Gives `length`, `other_length` and `saved`, drawn; the bounds of each, `bounds`, `other_bounds`, `saved_bounds`; and
    `parts`, rows of `total` (nominal, n x), `worst` (n t) and `share` of the sum of squares [-].

    Errors: ValueError naming everything impossible at once.
    """
    layout, other = ([dict(part, part=part["part"].strip()) for part in parts or []] for parts in (layout, other))
    faults = _faults(layout, "layout") + _faults(other, "other layout")
    if not faults and other and shared:
        faults = _disagreements(layout, other)
    if faults:
        raise ValueError(" ".join(faults))
    compared = bool(other)
    shared = shared or not compared
    other = other or layout
    own = {part["part"]: part for part in layout}
    if shared:
        other = [dict(part, length=own.get(part["part"], part)["length"]) for part in other]
    length, other_length = drawn_length(layout, pieces), drawn_length(other, pieces)
    first, second = [term(part) for part in layout], [term(part) for part in other]
    return {
        "length": length,
        "other_length": other_length,
        "saved": other_length - length,
        "bounds": bounds(first),
        "other_bounds": bounds(second),
        "saved_bounds": bounds(_net(layout, other) if shared else second + [_turned(one) for one in first]),
        "parts": _rows("this", layout, first) + (_rows("other", other, second) if compared else []),
    }


def _term(c, q, part):
    length = part["length"]
    return c, q, length["low"], length["high"], length["nominal"]


def _turned(one):
    c, q, low, high, nominal = one
    return -c, q, low, high, nominal


def _sign(part):
    return -1 if part["direction"] == TAKES_AWAY else 1


def _most(quantity):
    """Return the greatest quantity in any draw."""
    most = 0
    while not every(quantity <= most):
        most += 1
    return most


def _net(layout, other):
    """Return the terms of the other layout less this one, parts of one name taken together."""
    theirs = {part["part"]: part for part in other}
    terms = [
        net_term(part, theirs.pop(part["part"])) if part["part"] in theirs else _turned(term(part)) for part in layout
    ]
    return terms + [term(part) for part in theirs.values()]


def _rows(name, parts, terms):
    squares = [q * ((high - low) / 2) ** 2 for _, q, low, high, _ in terms]
    # A stack without doubt has no shares: nothing over the least number is nothing.
    total = maximum(sum(squares), 1e-300)
    return [
        {
            "layout": name,
            "part": part["part"],
            "total": c * nominal,
            "worst": absolute(c) * (high - low) / 2,
            "share": square / total,
        }
        for part, (c, _, low, high, nominal), square in zip(parts, terms, squares, strict=True)
    ]


def _faults(parts, table):
    faults = []
    names = [part["part"] for part in parts]
    if not names and table == "layout":
        faults.append("The layout has no part; it needs one at least.")
    for name in dict.fromkeys(names):
        if not name:
            faults.append(f"A part of the {table} has no name.")
        elif names.count(name) > 1:
            faults.append(
                f"Part {name} stands in {names.count(name)} rows of the {table}; "
                "give it once with its quantity, or name the parts apart."
            )
    for part, name in zip(parts, names, strict=True):
        faults += [f"{name or 'A part'} of the {table}: {fault}" for fault in _part_faults(part)]
    return faults


def _part_faults(part):
    quantity, length = part["quantity"], part["length"]
    said = [outside(QUANTITY, quantity)]
    if not said[0] and not every(quantity % 1 == 0):
        said.append("Quantity: it must be whole; write doubt as `4: 0.3, 5: 0.7`.")
    said += dict.fromkeys(outside(LENGTH, length[key]) for key in ("low", "high", "nominal", "draws"))
    if not every(length["low"] <= length["high"]):
        said.append("The lower limit is above the upper.")
    for key, options in (("direction", (ADDS, TAKES_AWAY)), ("varies", (EACH, ALIKE))):
        if part[key] not in options:
            said.append(f"{part[key]!r} given; expected {' or '.join(options)}.")
    return [one for one in said if one]


def _disagreements(layout, other):
    """Return in words where parts of one name differ between the layouts."""
    own = {part["part"]: part for part in layout}
    return [
        f"Part {part['part']} differs between the layouts in its length or in how it varies; parts of one name are the "
        "same parts: name them apart, or set `shared` to false."
        for part in other
        if part["part"] in own and not _same(own[part["part"]], part)
    ]


def _same(one, two):
    near = all(
        absolute(one["length"][key] - two["length"][key]) <= 1e-9 * maximum(1.0, absolute(one["length"][key]))
        for key in ("low", "high", "nominal")
    )
    return near and one["varies"] == two["varies"]
