"""What to look for next, as pages show it: lookouts by what they would tell, what to measure again, suggestions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from ledger.casebook.lookouts import Look, Looks, looks
from ledger.casebook.repeats import Repeat, repeats
from ledger.casebook.suggesting import Suggestion, suggestions
from ledger.casebook.values import Casebook
from ledger.entries.models import Lookout
from ledger.publishing.addresses import Link, Ways
from ledger.publishing.figures import minus
from ledger.quantities import percents

LEAST = 0.0005  # bits; a repeated measurement that tells less is not shown
MOST = 5


@dataclass(frozen=True)
class Wanted:
    """One lookout of a question in words; `left_out` says why it is not ranked."""

    link: Link
    gain: str
    changes: str
    effort: str
    cost: str
    left_out: str = ""


@dataclass(frozen=True)
class Repeated:
    """One quantity worth measuring again."""

    link: Link
    label: str
    now: str
    gain: str


@dataclass(frozen=True)
class Suggested:
    """A lookout that nobody stated: what each of the two rivals says it would show."""

    title: str
    says: tuple[tuple[Link, str], ...]
    gain: str
    grounds: tuple[Link, ...]


@dataclass(frozen=True)
class Next:
    """What to look for next on one question."""

    wanted: tuple[Wanted, ...] = ()
    repeated: tuple[Repeated, ...] = ()
    suggested: tuple[Suggested, ...] = ()


class Finder:
    """All that may be looked for, worked out once for every page."""

    def __init__(self, casebook: Casebook) -> None:
        self._casebook = casebook

    @cached_property
    def _looks(self) -> Looks:
        return looks(self._casebook)

    @cached_property
    def _repeats(self) -> tuple[Repeat, ...]:
        return repeats(self._casebook)

    @cached_property
    def _suggestions(self) -> tuple[Suggestion, ...]:
        return suggestions(self._casebook)

    def next_on(self, question: str, ways: Ways) -> Next:
        """Return what to look for next on a question."""
        ranked = [_wanted(self._casebook, look, ways) for look in self._looks.ranked if look.question == question]
        left = [
            Wanted(ways.to(ref), "", "", "", "", why)
            for ref, why in self._looks.left_out.items()
            if self._question(ref) == question
        ]
        again = [one for one in self._repeats if one.question == question and one.again.gain >= LEAST]
        return Next(
            (*ranked, *left),
            tuple(
                Repeated(ways.to(one.ref), one.label, minus(one.quantity.text), f"{one.again.gain:.3f} bit")
                for one in again[:MOST]
            ),
            tuple(_suggested(one, ways) for one in self._suggestions if one.question == question)[:MOST],
        )

    def _question(self, ref: str) -> str:
        entry = self._casebook.entries[ref].entry
        assert isinstance(entry, Lookout)
        return str(entry.question)


def _wanted(casebook: Casebook, look: Look, ways: Ways) -> Wanted:
    entry, worth = casebook.entries[look.ref].entry, look.worth
    assert isinstance(entry, Lookout)
    spread = "" if worth.low is None or worth.high is None else f" ({worth.low:.2f} to {worth.high:.2f})"
    rate = "" if look.rate is None else f"; {look.rate:.2g} bit an hour"
    return Wanted(
        ways.to(look.ref),
        f"{worth.gain:.2f} bit{spread}",
        _changes(worth.leader_changes, worth.elsewhere, ways),
        "" if entry.effort is None else f"{minus(entry.effort.text)}{rate}",
        entry.cost or "",
    )


def _changes(here: float, elsewhere: Mapping[str, float], ways: Ways) -> str:
    said = percents.chance(here) if here else "no"
    also = [f"{percents.chance(chance)} for “{ways.to(ref).words}”" for ref, chance in elsewhere.items() if chance]
    return said + (f"; through links {', '.join(also)}" if also else "")


def _suggested(one: Suggestion, ways: Ways) -> Suggested:
    return Suggested(
        one.title,
        tuple((ways.to(rival), said) for rival, said in one.says.items()),
        f"{one.gain:.2f} bit",
        tuple(ways.to(ref) for ref in one.grounds),
    )
