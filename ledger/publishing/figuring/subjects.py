"""What a figure can show: a photograph with its marks, a comparison, a drawing of a calculation, a trace, a course."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from ledger.casebook.items import Item
from ledger.casebook.values import Casebook
from ledger.entries.models import Calculation, Decision, Evidence, Hypothesis, Measurement, Question, Source
from ledger.errors import Fault, FaultsFound, PhotoRefused, nearest, of_command
from ledger.publishing import measuring, traced, words
from ledger.publishing.addresses import HOME, Ways
from ledger.publishing.figuring import calculated, comparison
from ledger.publishing.figuring.lettering import Line, text
from ledger.publishing.figuring.nesting import size
from ledger.publishing.figuring.photograph import photograph
from ledger.publishing.figuring.placing import beside, placed
from ledger.publishing.media import marking
from ledger.publishing.media.picturing import Reprint, Shot, marked_reprint, reprint, source_reprint
from ledger.publishing.past import past
from ledger.publishing.tracer import Tracer

COURSE = "course"
LEGIBLE, FEWEST, LEFT_OUT = 1.0, 2, 44.0
MODELS_ONLY = "For understanding and for models; it rates no part that carries people."
DRAWINGS = (
    "a note, a measurement or a source with marks on a picture, a question, a calculation with a drawing, a decision"
)


@dataclass(frozen=True)
class Subject:
    """What a figure shows: its kind and title, how it is drawn into a width and height, its credit, and it in words."""

    kind: str
    title: str
    draw: Callable[[float, float], str]
    credit: str
    told: str


def subject(casebook: Casebook, ref: str, root: Path) -> Subject:
    """Return what a figure of `evidence/groove`, `questions/forks#course` or `calculations/length#stack` shows.

    FaultsFound for what is not in the ledger, and for what has nothing to draw, with what there is.
    """
    name, _, part = ref.partition("#")
    item = casebook.entries.get(name)
    if item is None:
        raise FaultsFound([_missing(casebook, name)])
    entry = item.entry
    if isinstance(entry, Evidence | Measurement | Source):
        found = _pictured(casebook, item, root)
    elif isinstance(entry, Question):
        found = _question(casebook, item, part)
    elif isinstance(entry, Calculation):
        found = _calculation(casebook, item, part)
    elif isinstance(entry, Decision):
        found = _trace(casebook, item)
    else:
        found = None
    if found is None or (part and not isinstance(entry, Question | Calculation)):
        raise FaultsFound([_nothing(ref, item)])
    return found


def _missing(casebook: Casebook, name: str) -> Fault:
    near = nearest(name, [*casebook.entries], 1)
    given = "the name of an entry that was withdrawn" if name in casebook.withdrawn else f"`{name}`"
    remedy = f"Did you mean `{near[0]}`?" if near else "`witness rank` names the questions."
    return of_command("REF", given, "an entry of the ledger", remedy)


def _nothing(ref: str, item: Item) -> Fault:
    remedy = "A text alone makes no figure."
    if isinstance(item.entry, Evidence | Measurement | Source):
        remedy = "Mark it on a photograph with `witness bench`; a recording or a text has no place for marks."
    elif isinstance(item.entry, Hypothesis):
        remedy = f"It stands among its rivals in `{item.entry.question}`."
    elif isinstance(item.entry, Question):
        remedy = "It is drawn once its rivals are weighed, and its course once there are two postings."
    return of_command("REF", f"`{ref}`, which has nothing to draw", DRAWINGS, remedy)


def _pictured(casebook: Casebook, item: Item, root: Path) -> Subject | None:
    ways = Ways(casebook, HOME)
    shown: Shot | None = None
    find: Callable[[Casebook, Item, Path], Reprint | None] = marked_reprint
    credit = withheld = ""
    measured = measuring.measuring(casebook, item, ways, root)
    if measured is not None and measured.shot is not None:
        shown, find, credit, withheld = measured.shot, reprint, measured.credit, measured.withheld
    else:
        marked = marking.on_source(casebook, item, ways, root)
        find = source_reprint if marked is not None else find
        marked = marked or marking.marks(casebook, item, ways, root)
        if marked is not None:
            shown, credit, withheld = marked.shot, marked.credit, marked.withheld
    if shown is None:
        return None
    try:
        picture = find(casebook, item, root)
    except PhotoRefused:
        picture = None
    lines = [Line(stated, 34, strong=True)] if (stated := _stated(item)) else []
    lines += [Line(one.label, sample=str(one.sample)) for one in shown.legend]
    if withheld:
        lines.append(Line(withheld, 22, "--wl-soft"))
    drawn = photograph(shown, picture.content if picture else None, lines)
    return Subject(words.KINDS[item.kind][0], item.title, drawn, credit, shown.alt)


def _stated(item: Item) -> str:
    """Return a measurement's value as it was stated; nothing for other entries."""
    return item.entry.quantity.text if isinstance(item.entry, Measurement) else ""


def _question(casebook: Casebook, item: Item, part: str) -> Subject | None:
    weighing = casebook.weighings.get(item.ref)
    by = ", ".join(casebook.investigation.by)
    if part == COURSE:
        course = past(casebook, item.ref, Ways(casebook, HOME)).course
        if course is None:
            return None
        return Subject("Confidence over time", item.title, placed(course.chart), f"By {by}", _desc(course.chart.svg))
    if part or weighing is None:
        return None
    drawn, told = comparison.comparison(casebook, weighing)
    return Subject("Question", item.title, drawn, f"By {by}", told)


def _calculation(casebook: Casebook, item: Item, part: str) -> Subject | None:
    drawings = calculated.drawings(casebook, item)
    if not drawings:
        return None
    if part and part not in drawings:
        has = f"It has {', '.join(f'`#{name}`' for name in drawings)}."
        given = f"`{item.ref}#{part}`, which is not drawn"
        raise FaultsFound([of_command("REF", given, "a drawing of this calculation", has)])
    one = drawings[part or next(iter(drawings))]
    lines = [*calculated.said(casebook, item), *one.lines]
    credit = f"Calculated by {', '.join(casebook.investigation.by)}"
    told = " ".join(_desc(picture) for picture in one.pictures)
    return Subject(calculated.kind(item), item.title, beside(one.pictures, lines, MODELS_ONLY), credit, told)


def _trace(casebook: Casebook, item: Item) -> Subject | None:
    ways, found = Ways(casebook, HOME), Tracer(casebook).trace(item.ref)
    whole = traced.drawn(found, ways)
    if whole is None:
        return None

    def draw(width: float, height: float) -> str:
        """Draw as many things as leave the letters legible, those that carry most; say how many are left out."""
        svg, most = str(whole.svg), sum(not one.small for one in found.nodes.values())
        room = height
        while most > FEWEST and _legible(svg, width, room) < LEGIBLE:
            most, room = most - 1, height - LEFT_OUT
            fewer = traced.drawn(found, ways, most)
            svg = str(fewer.svg) if fewer is not None else svg
        if room == height:
            return placed(whole)(width, height)
        left = words.count(len(found.nodes) - most, "thing")
        said = f"Left out for want of room: {left} that carry least. The decision’s page lists them all."
        return beside((svg,), ())(width, room) + text(0.0, height, said, 22, "--wl-soft")

    by = ", ".join(casebook.investigation.by)
    return Subject("Decision: what it stands on", item.title, draw, f"By {by}", _desc(str(whole.svg)))


def _legible(svg: str, width: float, height: float) -> float:
    """Return by what a drawing would be scaled to fit into a room."""
    breadth, tall = size(svg)
    return min(width / breadth, height / tall)


def _desc(svg: str) -> str:
    from html import unescape

    found = re.search(r"<desc[^>]*>(.*?)</desc>", svg, re.DOTALL)
    return unescape(found[1]) if found is not None else ""
