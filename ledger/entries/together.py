"""Rules over the fields of one part taken together, as functions of which fields are given.

The models ask them of what they have read; `wording` asks them of a part with other faults, which no model gets to
see whole, so that they are told with the rest.
"""

from __future__ import annotations

from collections.abc import Collection

from ledger.quantities.notation import NotationError

PLACES = ("box", "polygon", "line", "point", "span", "page", "clause")
GROUNDS = ("value", "chosen", "measurement", "calculation", "rows")
REASONED = ("value", "chosen", "rows")
TAKEN = ("measurement", "calculation")
SETTLED = ("value", "measurement", "calculation", "rows")


def place(fields: Collection[str]) -> NotationError | None:
    """Return what is wrong with the places of a mark: it has one, or a page with a clause."""
    given = [each for each in PLACES if each in fields]
    if given and (len(given) == 1 or set(given) == {"page", "clause"}):
        return None
    return NotationError(
        ", ".join(given) or "no place",
        f"one of {', '.join(PLACES)}",
        "Give each mark one place; page and clause may stand together.",
    )


def ground(fields: Collection[str]) -> NotationError | None:
    """Return what is wrong with the grounds of an input: it has one, with a reason where it is stated right there."""
    given = [each for each in GROUNDS if each in fields]
    if len(given) != 1:
        return NotationError(", ".join(given) or "nothing", f"one of {', '.join(GROUNDS)}", "Bind the input once.")
    if given[0] in REASONED and "reason" not in fields:
        return NotationError(f"`{given[0]}` alone", "a `reason` beside it", "Say where the number comes from.")
    return _whole_reference(fields)


def settled(fields: Collection[str]) -> NotationError | None:
    """Return what is wrong with what a parameter of the model is: it is said once; the decision is the reason."""
    given = [each for each in SETTLED if each in fields]
    if len(given) != 1:
        return NotationError(", ".join(given) or "nothing", f"one of {', '.join(SETTLED)}", "Say it once.")
    return _whole_reference(fields)


def taken(fields: Collection[str]) -> NotationError | None:
    """Return what is wrong with what a cell or a limit is taken from: it is one measurement, or one output."""
    given = [each for each in TAKEN if each in fields]
    if len(given) != 1:
        return NotationError(", ".join(given) or "nothing", f"one of {', '.join(TAKEN)}", "Name one entry.")
    return _whole_reference(fields)


def _whole_reference(fields: Collection[str]) -> NotationError | None:
    if ("calculation" in fields) != ("output" in fields):
        return NotationError("half a reference", "`calculation` and `output` together", "Name both.")
    return None


def limit(fields: Collection[str]) -> NotationError | None:
    """Return what is wrong with the limits of a criterion: it has a least, a greatest or both, or says what holds."""
    if ("holds" in fields) != ("at-least" in fields or "at-most" in fields):
        return None
    return NotationError(
        "no single limit", "`at-least` and/or `at-most`, or `holds`", "State what the output must keep."
    )


def prior(fields: Collection[str]) -> NotationError | None:
    """Return what is wrong with the ground of a prior: there is one."""
    if "precedents" in fields or "reason" in fields:
        return None
    return NotationError("a prior alone", "`precedents` or a `reason` beside it", "Say what the prior stands on.")
