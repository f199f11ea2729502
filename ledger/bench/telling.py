"""Methods, results and faults as data for the page."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from ledger.errors import Fault, FaultsFound, PhotoRefused, WitnessError
from ledger.photo.declaring import Found, Method
from ledger.photo.methods import REGISTER
from ledger.photo.telling import lopsided, quantity_text
from ledger.photo.wrong import Wrong
from ledger.quantities.notation import Z95
from ledger.quantities.quantity import plain

Told = dict[str, Any]
# Half-widths cover 95 %.
LEAST_PART = 1e-6


def methods() -> list[Told]:
    """Return every way of measuring as the page's forms need it."""
    return [_method(method) for method in REGISTER.values()]


def on_a_plane(method: Method) -> bool:
    """Return whether a method knows a plane, so that it can be seen square on."""
    return any(role.instead == "frame" for role in method.roles)


def _method(method: Method) -> Told:
    return {
        "name": method.name,
        "title": method.title,
        "purpose": method.purpose,
        "medium": method.medium,
        "lens": method.lens,
        "unit": method.unit,
        "plane": on_a_plane(method),
        "roles": [
            {
                "name": role.name,
                "label": role.label,
                "least": role.least,
                "most": role.most,
                "ordered": role.ordered,
                "hint": role.hint,
                "form": role.form,
                "instead": role.instead,
            }
            for role in method.roles
        ],
        "knowns": [
            {
                "name": known.name,
                "label": known.label,
                "unit": known.unit,
                "default": known.default,
                "hint": known.hint,
                "otherwise": known.otherwise,
                "words": list(known.words),
                "of": known.of,
                "each": known.each,
            }
            for known in method.knowns
        ],
        "assumptions": list(method.assumptions),
        "cautions": list(method.cautions),
    }


def found(method: Method, one: Found) -> Told:
    """Return what was found: its quantity, interval, and what its uncertainty comes from, the greatest part first."""
    meanings = dict(method.outputs)
    parts = sorted(((part, cause) for cause, part in one.parts.items()), reverse=True)
    return {
        "quantity": quantity_text(one),
        "unit": one.unit,
        "estimate": one.estimate,
        "low": one.low,
        "high": one.high,
        "lopsided": lopsided(one),
        "parts": [
            {"cause": cause, "meaning": meanings.get(cause, ""), "half": Z95 * part}
            for part, cause in parts
            if part > LEAST_PART * one.uncertainty
        ],
        "chances": [[number, chance] for number, chance in one.chances.items()],
        "notes": list(one.notes),
        "doubtful": doubtful(method, one),
    }


def doubtful(method: Method, one: Found) -> str:
    """Return that a result is nearly all doubt, and what most of that comes from; "" for one that tells something.

    Such is an interval wider than twice the value. An angle near zero is as good a finding as any other, and numbers
    that are counted have their chances: neither is judged.
    """
    if one.chances or one.unit == "°" or one.high - one.low <= 2 * abs(one.estimate):
        return ""
    meanings = dict(method.outputs)
    parts = sorted(((part, cause) for cause, part in one.parts.items() if part > 0), reverse=True)[:2]
    told = [
        f"{meanings.get(cause, cause)} (± {_two_digits(Z95 * part)} {one.unit}".strip() + ")" for part, cause in parts
    ]
    causes = f" Most of its uncertainty comes from {', then from '.join(told)}." if told else ""
    return f"This tells next to nothing: the interval is wider than twice the value.{causes}"


def _two_digits(number: float) -> str:
    return plain(float(f"{number:.2g}"))


def wrong(faults: Iterable[Wrong]) -> list[Told]:
    """Return what is wrong with picks; what merely is not marked or stated yet is told apart."""
    return [
        {**vars(fault), "missing": fault.field in ("points", "known") or fault.remedy == "Mark just so many."}
        for fault in faults
    ]


def refused(error: WitnessError) -> list[Told]:
    """Return what an error says, one item a fault."""
    if isinstance(error, FaultsFound):
        return [fault(one) for one in error.faults]
    if isinstance(error, PhotoRefused):
        return [_said(line) for line in str(error).splitlines()]
    return [{"field": "", "given": "", "expected": "", "remedy": str(error), "missing": False}]


def fault(one: Fault) -> Told:
    """Return one fault."""
    return {
        "file": one.file, "line": one.line, "field": one.field, "given": one.given, "expected": one.expected,
        "remedy": one.remedy, "missing": False,
    }  # fmt: skip


def _said(line: str) -> Told:
    """Return a refusal of one line in its parts; one that has none is told whole."""
    field, parted, rest = line.partition(": given ")
    given, expecting, rest = rest.partition("; expected ")
    expected, _, remedy = rest.partition(". ")
    if not (parted and expecting):
        field, given, expected, remedy = "", "", "", line
    return {"field": field, "given": given, "expected": expected, "remedy": remedy, "missing": False}
