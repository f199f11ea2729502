"""What a resolved question says of the rivals linked to it: a known answer turns a link into a factor on a rival."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from ledger.casebook.items import Item
from ledger.entries.models import Hypothesis, Question
from ledger.weighing.values import NONE, Link


def answers(entries: Mapping[str, Item]) -> dict[str, str]:
    """Return, by resolved question, the rival that came true."""
    return {
        ref: item.entry.resolved.answer
        for ref, item in entries.items()
        if isinstance(item.entry, Question) and item.entry.resolved is not None
    }


def open_links(links: Iterable[Link], entries: Mapping[str, Item]) -> tuple[Link, ...]:
    """Return the links between questions whose answers are both not known."""
    known = answers(entries)
    return tuple(link for link in links if not {_owner(link.one, entries), _owner(link.other, entries)} & known.keys())


def factors(links: Iterable[Link], entries: Mapping[str, Item]) -> dict[tuple[str, str], float]:
    """Return by what known answers of linked questions multiply rivals, by open question and rival; 1 is left out.

    What weighing jointly would do once the answer is certain: 0 for what a link then forbids, the stated factor of a
    pair that is favoured, at its middle. Like any link it changes no likelihood.
    """
    known = answers(entries)
    found: dict[tuple[str, str], float] = {}

    def times(question: str, rival: str, factor: float) -> None:
        found[question, rival] = found.get((question, rival), 1.0) * factor

    for link in links:
        one, other = _owner(link.one, entries), _owner(link.other, entries)
        if other in known and one not in known:
            times(one, link.one, _together(link, known[other] == link.other))
        elif one in known and other not in known and known[one] == link.one:
            if link.kind == "needs":
                rivals = [ref for ref, item in entries.items() if _answers(item, other) and ref != link.other]
                for rival in (*rivals, NONE):
                    times(other, rival, 0.0)
            else:
                times(other, link.other, _together(link, True))
    return {place: factor for place, factor in found.items() if factor != 1.0}


def _answers(item: Item, question: str) -> bool:
    return isinstance(item.entry, Hypothesis) and item.entry.question == question


def _together(link: Link, true: bool) -> float:
    """Return the factor on one end of a link when the other end is known to be true, or false."""
    if link.kind == "needs":
        return 1.0 if true else 0.0
    if not true:
        return 1.0
    return 0.0 if link.kind == "rules-out" else link.factor


def _owner(rival: str, entries: Mapping[str, Item]) -> str:
    entry = entries[rival].entry
    assert isinstance(entry, Hypothesis)
    return str(entry.question)
