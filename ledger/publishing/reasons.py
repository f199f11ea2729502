"""Why each rival stands where it does, in plain words: what carries it, and what speaks against it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from ledger.casebook.values import Casebook
from ledger.entries.models import Calculation, Evidence, Measurement
from ledger.publishing import words
from ledger.publishing.addresses import Link, Ways
from ledger.quantities import percents
from ledger.weighing.values import NONE, Standing, Weighing

LEAST = 1.0  # decibans; less is not told
MOST = 3
# A weight that belongs to several calculations together stands under this and the rival they test.
TOGETHER = "feasibility:"


@dataclass(frozen=True)
class Said:
    """A phrase of a paragraph: words, with a link or without."""

    link: Link
    after: str = ""


@dataclass(frozen=True)
class Paragraph:
    """What is said of one rival, phrase by phrase; `plain` is the same without links."""

    rival: Link
    phrases: tuple[Said, ...]

    @property
    def plain(self) -> str:
        """Return the paragraph as text."""
        return "".join(phrase.link.words + phrase.after for phrase in self.phrases)


def reasons(casebook: Casebook, weighing: Weighing, ways: Ways) -> tuple[Paragraph, ...]:
    """Return a paragraph for each rival, in the order of the standings."""
    return tuple(
        Paragraph(ways.to(one.rival), tuple(_paragraph(casebook, weighing, one, ways))) for one in weighing.standings
    )


def _paragraph(casebook: Casebook, weighing: Weighing, one: Standing, ways: Ways) -> Iterable[Said]:
    name = "“None of these”" if one.rival == NONE else ways.to(one.rival).words
    yield unlinked(f"{name}: {words.confidence(one.confidence)}. ")
    yield from _beginning(one)
    moving = moving_most(casebook, weighing, one.rival)
    carries = [(ref, weight) for ref, weight in moving if weight > 0][:MOST]
    against = [(ref, weight) for ref, weight in moving if weight < 0][:MOST]
    infinite = [ref for ref, rivals in weighing.infinite.items() if one.rival in rivals]
    yield from _listed("It is carried most by ", carries, weighing, one.rival, ways)
    if not carries and one.rival != NONE:
        yield unlinked("Nothing that was weighed speaks for it by a deciban or more. ")
    yield from _listed(
        "Against it speak " if len(against) > 1 else "Against it speaks ", against, weighing, one.rival, ways
    )
    if not against and one.rival != NONE:
        yield unlinked("Nothing that was weighed speaks against it by a deciban or more. ")
    for ref in infinite:
        yield unlinked("Decided without bound by ")
        yield Said(named(ref, weighing, one.rival, ways), ". ")
    yield from _ending(weighing, one)


def _beginning(one: Standing) -> Iterable[Said]:
    if percents.chance(one.linked_prior) != percents.chance(one.prior):
        yield unlinked(
            f"It began at {percents.chance(one.prior)}, which the links to other questions turned into "
            f"{percents.chance(one.linked_prior)}. "
        )
    else:
        yield unlinked(f"It began at {percents.chance(one.prior)}. ")


def moving_most(casebook: Casebook, weighing: Weighing, rival: str) -> list[tuple[str, float]]:
    """Return what moves a rival by itself, the heaviest first: notes, measurements, calculations, links; no sources."""
    own = {
        ref: row.get(rival, 0.0)
        for ref, row in weighing.weights.items()
        if ref != weighing.question and _tells(casebook, ref)
    }
    through = {ref: row.get(rival, 0.0) for ref, row in weighing.through.items() if _tells(casebook, ref)}
    told = [(ref, weight) for ref, weight in {**own, **through}.items() if abs(weight) >= LEAST]
    return sorted(told, key=lambda pair: (-abs(pair[1]), pair[0]))


def _tells(casebook: Casebook, ref: str) -> bool:
    if ref.startswith(TOGETHER) or " " in ref:
        return True
    item = casebook.entries.get(ref)
    return item is not None and isinstance(item.entry, Evidence | Measurement | Calculation)


def _listed(opening: str, parts: list[tuple[str, float]], weighing: Weighing, rival: str, ways: Ways) -> Iterable[Said]:
    for place, (ref, weight) in enumerate(parts):
        if place == 0:
            yield unlinked(opening)
        last = place == len(parts) - 1
        joint = ". " if last else " and " if place == len(parts) - 2 else ", "
        yield Said(named(ref, weighing, rival, ways), f" ({words.decibans(weight)}){joint}")


def named(ref: str, weighing: Weighing, rival: str, ways: Ways) -> Link:
    """Return what moves a rival in the midst of a sentence: an entry by its title, what was calculated, a link."""
    if ref.startswith(TOGETHER):
        tested = ref.removeprefix(TOGETHER)
        whose = (
            "what was calculated for it" if tested == rival else f"what was calculated for “{ways.to(tested).words}”"
        )
        return ways.to(tested, whose)
    if " " in ref:
        return link_named(ref, ways)
    if ref in weighing.through:
        return ways.to(ref, f"“{ways.to(ref).words}”, through the links")
    return ways.to(ref, f"“{ways.to(ref).words}”")


def link_named(name: str, ways: Ways) -> Link:
    """Return a link between hypotheses in words."""
    one, kind, other = name.split(" ")
    said = {"needs": "needs", "rules-out": "rules out", "favours": "goes with"}[kind]
    return ways.to(one, f"that “{ways.to(one).words}” {said} “{ways.to(other).words}”")


def _ending(weighing: Weighing, one: Standing) -> Iterable[Said]:
    if one.rival == NONE:
        yield unlinked("It rises when no named rival explains the notes together, and falls while one does.")
        return
    if not one.tested:
        yield unlinked("No calculation tests it, which is no merit. ")
    if not one.may_lead:
        yield unlinked(f"Only {one.judged} of {words.count(one.notes, 'note')} judge it, too few to lead. ")
    for impossible in weighing.impossible:
        if impossible.rival == one.rival:
            yield unlinked("The links leave no combination in which it is true. ")


def unlinked(said: str) -> Said:
    """Return words without a link as a phrase."""
    return Said(Link(said, None))
