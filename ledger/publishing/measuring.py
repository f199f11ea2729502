"""Measurements made from picks as their pages show them: how, from what, with which doubt, and on which picture."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from ledger.casebook.items import Item
from ledger.casebook.measuring import source_of
from ledger.casebook.originals import may_be_published
from ledger.casebook.values import Casebook
from ledger.entries.models import Measurement, Source
from ledger.entries.parts import Picked
from ledger.errors import PhotoRefused
from ledger.photo.declaring import Found, Known, Method, Role
from ledger.photo.methods import REGISTER
from ledger.photo.telling import agrees, lopsided, quantity_text
from ledger.publishing import words
from ledger.publishing.addresses import METHODS, Link, Ways, page_of
from ledger.publishing.fields import Field
from ledger.publishing.figures import minus, plain_label
from ledger.publishing.listing import Line
from ledger.publishing.media.picturing import Shot, reprint, shot
from ledger.publishing.rendering import page
from ledger.quantities import percents
from ledger.quantities.notation import Z95, Quantity

# Picks of a role are listed one by one up to so many.
LISTED = 6
LENSES = {"none": "none: the picture is straight", "unknown": "unknown: the interval is widened for it"}
# A refusal names the file, which is not named where it may not be published.
WITHHELD = "its picture or recording is not here, or not to be measured."
DEFAULT = "the method's default"


@dataclass(frozen=True)
class Measuring:
    """How a measurement came about.

    interval  of 95 %; parts: cause, what it is, its half-width of 95 %; chances: of whole numbers
    away      why it was not measured again here; unlike: what the picks give where the entry says otherwise
    withheld  why no picture is shown
    """

    method: Link
    facts: tuple[Field, ...]
    interval: str
    parts: tuple[tuple[str, str, str], ...]
    chances: tuple[tuple[str, str], ...]
    notes: tuple[str, ...]
    away: str
    unlike: str
    shot: Shot | None
    credit: str
    withheld: str
    cautions: tuple[str, ...]


def measuring(casebook: Casebook, item: Item, ways: Ways, root: Path | None) -> Measuring | None:
    """Return how a measurement came about, or None where it has no picks.

    root  the investigation's folder, for pictures; without it none is looked for
    """
    entry = item.entry
    if not isinstance(entry, Measurement) or entry.picked is None or entry.picked.by not in REGISTER:
        return None
    picked, method = entry.picked, REGISTER[entry.picked.by]
    source = source_of(casebook, entry)
    found, away = None, ""
    try:
        found = casebook.measured(item.ref)
    except PhotoRefused as error:
        told = str(error) if source is not None and may_be_published(source) else WITHHELD
        away = f"It was not measured again for this page: {told}"
    picture, withheld = _picture(casebook, item, picked, source, method, ways, root)
    return Measuring(
        method=ways.page(page_of(f"methods/{method.name}"), method.title),
        facts=tuple(_facts(picked, method)),
        interval=_interval(found) if found and not found.chances else "",
        parts=tuple(_parts(found, method)) if found else (),
        chances=tuple((str(number), percents.chance(chance)) for number, chance in found.chances.items())
        if found
        else (),
        notes=_notes(found) if found else (),
        away=away,
        unlike="" if found is None or agrees(found, entry.quantity) else minus(quantity_text(found)),
        shot=picture,
        credit=words.credit(source),
        withheld=withheld,
        cautions=method.cautions,
    )


def methods_page(casebook: Casebook) -> str:
    """Return the page that lists the ways of measuring."""
    ways = Ways(casebook, METHODS)
    lines = tuple(
        Line(ways.page(page_of(f"methods/{method.name}"), method.title), method.purpose) for method in REGISTER.values()
    )
    purpose = (
        "How quantities are measured from photographs and recordings. Each method states what it takes for granted, "
        "and carries every doubt into the interval."
    )
    return page("section", title="Ways of measuring", purpose=purpose, lines=lines, withdrawn=())


def method_page(casebook: Casebook, method: Method) -> str:
    """Return the page of one way of measuring, made from its declaration."""
    ways = Ways(casebook, page_of(f"methods/{method.name}"))
    used = [
        item
        for item in casebook.of_kind("measurement")
        if isinstance(item.entry, Measurement) and item.entry.picked and item.entry.picked.by == method.name
    ]
    return page(
        "method",
        method=method,
        section=ways.page(METHODS, "Ways of measuring"),
        roles=[(role, role.many, _when(role, method)) for role in method.roles],
        knowns=[(known, _may(known, method), _otherwise(known)) for known in method.knowns],
        unit=method.unit or "none",
        used=[ways.to(item.ref) for item in used],
    )


def _facts(picked: Picked, method: Method) -> Iterator[Field]:
    for name, places in picked.points.items():
        role = method.role(name)
        yield _plain(role.label if role else name, _places(places, role))
    if method.medium == "photograph":
        yield _plain("Doubt of a pick, standard", f"{picked.doubt:g} px")
    for known in method.knowns:
        if known.of and known.of not in picked.points:
            continue
        stated = picked.known.get(known.name)
        if stated is not None:
            yield _plain(known.label, _said(stated))
        elif known.default is not None or known.otherwise:
            default = f"{minus(known.default)} ({DEFAULT})" if known.default is not None else known.otherwise
            yield _plain(known.label, default)
    if method.lens:
        yield _plain("Lens", _lens(picked))


def _plain(label: str, text: str) -> Field:
    return Field(label, (Link(text, None),))


def _places(places: list[tuple[float, float]], role: Role | None) -> str:
    form = role.form if role else "point"
    if form == "span":
        return "; ".join(f"{start:g} s to {end:g} s" for start, end in places)
    if len(places) > LISTED:
        return f"{len(places)} points"
    if form == "guide":
        return "; ".join(f"{frequency:g} Hz at {time:g} s" for time, frequency in places)
    return "; ".join(f"{x:g}, {y:g}" for x, y in places) + " px"


def _said(stated: Quantity | str | tuple[Quantity | str, ...]) -> str:
    if isinstance(stated, tuple):
        return "; ".join(_said(one) for one in stated)
    return stated.replace("-", " ") if isinstance(stated, str) else minus(stated.text)


def _lens(picked: Picked) -> str:
    if isinstance(picked.lens, dict):
        return ", ".join(f"{name} {minus(one.text)}" for name, one in picked.lens.items())
    return LENSES[picked.lens or "unknown"]


def _interval(found: Found) -> str:
    unit = f" {found.unit}" if found.unit else ""
    return minus(f"{found.low:.4g} to {found.high:.4g}{unit}")


def _parts(found: Found, method: Method) -> Iterator[tuple[str, str, str]]:
    meanings = dict(method.outputs)
    unit = f" {found.unit}" if found.unit else ""
    for cause, part in sorted(found.parts.items(), key=lambda one: -one[1]):
        if part > 1e-6 * found.uncertainty:
            yield cause, meanings.get(cause, ""), f"± {Z95 * part:.2g}{unit}"


def _notes(found: Found) -> tuple[str, ...]:
    wider = ("The interval is lopsided: what stands after ± covers its wider side.",) if lopsided(found) else ()
    return tuple(map(plain_label, (*wider, *found.notes)))


def _picture(
    casebook: Casebook,
    item: Item,
    picked: Picked,
    source: Source | None,
    method: Method,
    ways: Ways,
    root: Path | None,
) -> tuple[Shot | None, str]:
    if method.medium != "photograph" or root is None or source is None:
        return None, ""
    if not source.publishable:
        return None, "The picture may not be reprinted here."
    try:
        found = reprint(casebook, item, root)
    except PhotoRefused as error:
        return None, f"The picture is not shown: {error}"
    if found is None:
        return None, "The picture is not at hand."
    labels = {role.name: role.label for role in method.roles}
    alt = f"{source.title}, with the picks of this measurement marked"
    return shot(found, ways.here, alt, picked.points, labels), ""


def _when(role: Role, method: Method) -> str:
    others = [f"“{one.name}”" for one in method.roles if role.instead and one.instead == role.instead and one != role]
    if others:
        return f"or {' or '.join(others)}"
    return "must be marked" if role.needed else "may be left out"


def _may(known: Known, method: Method) -> str:
    kind = "" if known.unit is None else "a whole number" if known.whole else "a quantity"
    if known.words:
        kind = " or ".join(part for part in (kind, f"one of {', '.join(known.words)}") if part)
    each = {"": "", "point": ", for each of “{}”", "gap": ", for each stretch of “{}”"}[known.each]
    where = f"; where “{known.of}” are marked" if known.of and not known.each and len(method.roles) > 2 else ""
    return kind + each.format(known.of) + where


def _otherwise(known: Known) -> str:
    return minus(known.default) if known.default is not None else known.otherwise or "must be stated"
