"""The page of a question that is weighed: the answer first, then what decides, then everything else."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import inf
from pathlib import Path

from ledger.calculators.contract import Calculator
from ledger.casebook.items import Item
from ledger.casebook.values import Casebook
from ledger.entries.models import Calculation
from ledger.publishing import bodies, entering
from ledger.publishing.addresses import READING, Link, Ways
from ledger.publishing.comparing import Comparison, compare
from ledger.publishing.firmness import firm
from ledger.publishing.gauging import gauges
from ledger.publishing.looking import Finder
from ledger.publishing.media.thumbs import Thumb, by_ref, thumb
from ledger.publishing.past import past
from ledger.publishing.rendering import page
from ledger.publishing.replying.section import Replying
from ledger.publishing.sidebyside import side_by_side
from ledger.publishing.since import since
from ledger.publishing.weights import Note, Weight, notes
from ledger.weighing.values import NONE, Weighing

SHOWN = 3  # of the most telling notes, and of the limits, before the rest is folded


@dataclass(frozen=True)
class Card:
    """One of the notes that move the first of the answer against the second most, with what it does to both."""

    note: Note
    thumb: Thumb
    moves: tuple[tuple[Link, Weight | None], ...]


def question_page(
    casebook: Casebook,
    register: Mapping[str, Calculator],
    finder: Finder,
    item: Item,
    weighing: Weighing,
    sheet: entering.Sheet,
    replied: Replying,
    ways: Ways,
    root: Path | None,
) -> str:
    """Return the page of a weighed question as Markdown.

    root  the investigation's folder, where pictures are looked for
    """
    rivals = tuple(one.rival for one in weighing.standings if one.rival != NONE)
    compared = compare(casebook, weighing, ways)
    thumbs = by_ref(casebook, (note.ref for note in compared.notes), ways, root)
    telling = _telling(weighing, compared.notes)
    cards = tuple(_card(weighing, note, thumbs[note.ref], ways) for note in telling[:SHOWN])
    drawn = gauges(casebook, register, rivals, ways)
    hurting = dict.fromkeys((*casebook.investigation.cautions, *_calculator_cautions(casebook, register, rivals)))
    return page(
        "question",
        sheet=sheet,
        comparison=compared,
        since=since(casebook, ways, weighing),
        gauges=drawn[:SHOWN],
        safe=drawn[SHOWN:],
        cards=cards,
        thumbs=thumbs,
        credits=_credits(card.thumb for card in cards),
        all_credits=_credits(thumbs.values()),
        past=past(casebook, item.ref, ways),
        firm=firm(casebook.firmness(), weighing, ways),
        next=finder.next_on(item.ref, ways),
        heads=[ways.to(rival).words for rival in rivals],
        rows=side_by_side(casebook, register, rivals, ways),
        hurting=tuple(one for one in hurting if one not in compared.cautions),
        reading=ways.page(READING, "How to read this"),
        replying=replied,
        card=_for_sharing(compared),
        image=_picture(ways, (thumbs[note.ref] for note in telling)),
    )


def face(casebook: Casebook, weighing: Weighing, ways: Ways, root: Path | None) -> Thumb | None:
    """Return the picture of the most telling note that has one to show."""
    for note in _telling(weighing, notes(casebook, weighing, ways)):
        found = thumb(casebook, note.ref, ways, root)
        if found.src:
            return found
    return None


def _telling(weighing: Weighing, told: tuple[Note, ...]) -> tuple[Note, ...]:
    """Return notes in order of how differently they weigh on the first and the second of the answer."""
    first, second = _pair(weighing)

    def apart(note: Note) -> float:
        row = weighing.weights.get(note.ref, {})
        unbounded = weighing.infinite.get(note.ref, ())
        return inf if first in unbounded or second in unbounded else abs(row.get(first, 0.0) - row.get(second, 0.0))

    return tuple(sorted(told, key=lambda note: -apart(note)))


def _pair(weighing: Weighing) -> tuple[str, str]:
    return weighing.leader or weighing.account.leader, weighing.account.runner_up


def _card(weighing: Weighing, note: Note, thumb: Thumb, ways: Ways) -> Card:
    by_rival = dict(zip((one.rival for one in weighing.standings), note.weights, strict=True))
    return Card(note, thumb, tuple((ways.to(rival), by_rival[rival]) for rival in _pair(weighing)))


def _credits(thumbs: Iterable[Thumb]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(one.credit for one in thumbs if one.credit))


def _for_sharing(compared: Comparison) -> str:
    """Return the answer in one sentence, for whoever shares the page."""
    answer = compared.answer
    lead = "Leading" if answer.leads else "No leader; standing highest"
    spread = f" (90 % range {answer.interval})" if answer.interval else ""
    return (
        f"{lead}: {answer.top.words}, {answer.confidence} confidence{spread}. "
        f"Then {answer.runner_up.words}, {answer.runner_confidence}."
    )


def _picture(ways: Ways, thumbs: Iterable[Thumb]) -> str:
    """Return the path, from the site's root, of the first small picture; empty where none may be shown."""
    src = next((one.src for one in thumbs if one.src), "")
    return src.removeprefix("../" * ways.here.count("/"))


def _calculator_cautions(
    casebook: Casebook, register: Mapping[str, Calculator], rivals: tuple[str, ...]
) -> tuple[str, ...]:
    used = {
        item.entry.calculator
        for item in casebook.of_kind("calculation")
        if isinstance(item.entry, Calculation) and set(rivals) & set(item.entry.hypotheses)
    }
    return tuple(bodies.line(caution) for name in sorted(used & set(register)) for caution in register[name].cautions)
