"""What stands on an entry, and what withdrawing sources, notes or measurements would do, as pages show it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from ledger.casebook.items import Item
from ledger.casebook.values import Casebook
from ledger.publishing import words
from ledger.publishing.addresses import Link, Ways
from ledger.publishing.reasons import Said
from ledger.publishing.rendering import page
from ledger.publishing.staling import told
from ledger.quantities import percents
from ledger.tracing.withdrawal import Led, Move, Test, Withdrawal, testable

# Confidences that move by less are not told one by one.
TOLD = 0.005
KINDS = ("decision", "question", "hypothesis", "calculation", "measurement", "evidence", "precedent", "source")


@dataclass(frozen=True)
class Moved:
    """One confidence: of which rival, in which question, before and after."""

    question: Link
    rival: Link
    before: str
    after: str
    by: str


@dataclass(frozen=True)
class Fallen:
    """A decision that would lose ground, with each reason phrase by phrase."""

    link: Link
    reasons: tuple[tuple[Said, ...], ...]


@dataclass(frozen=True)
class Lost:
    """What withdrawing some things would do.

    moves    the confidences that would move, the farthest first; `more`, how many others would by less
    leaders  a question, who leads and who would; the last is words where nobody would
    """

    what: tuple[Link, ...]
    person: str
    moves: tuple[Moved, ...]
    more: str
    leaders: tuple[tuple[Link, Link, Link], ...]
    decisions: tuple[Fallen, ...]
    leaning: tuple[Link, ...]
    answers: tuple[Link, ...]
    fallen: tuple[Link, ...]

    @property
    def idle(self) -> bool:
        """Return whether it would change nothing that is told."""
        return not (self.moves or self.more or self.leaders or self.decisions or self.answers or self.fallen)

    @property
    def slight(self) -> bool:
        """Return whether no leader and no decision would change, and no confidence by as much as is told."""
        return not (self.moves or self.leaders or self.decisions)


@dataclass(frozen=True)
class Impact:
    """What stands on an entry, by kind, and what losing it would do; None where nothing can be weighed anew."""

    above: tuple[tuple[str, tuple[Link, ...]], ...]
    lost: Lost | None


def impact(test: Test, item: Item, ways: Ways) -> Impact | None:
    """Return what stands on a standing source, note or measurement; None for other kinds and withdrawn ones."""
    if item.kind not in ("source", "evidence", "measurement") or not testable(ways.casebook, item.ref):
        return None
    able = ways.casebook.ground is not None
    return Impact(above(test, (item.ref,), ways), lost(test.without([item.ref]), ways) if able else None)


def above(test: Test, refs: Iterable[str], ways: Ways) -> tuple[tuple[str, tuple[Link, ...]], ...]:
    """Return everything that stands on some entries, by kind in plural, decisions first."""
    found = test.grounds.above(*refs)
    entries = ways.casebook.entries
    rows = ((words.KINDS[kind][1], [ref for ref in found if entries[ref].kind == kind]) for kind in KINDS)
    return tuple((kind, tuple(ways.to(ref) for ref in some)) for kind, some in rows if some)


def lost(one: Withdrawal, ways: Ways) -> Lost:
    """Return what a withdrawal would do in words."""
    far = [move for move in one.moves if move.after is None or abs(move.by) >= TOLD]
    more = len(one.moves) - len(far)
    return Lost(
        what=tuple(ways.to(ref) for ref in one.refs),
        person=one.person,
        moves=tuple(_move(move, ways) for move in far),
        more=words.count(more, "confidence") if more else "",
        leaders=tuple(_led(led, ways) for led in one.leaders),
        decisions=tuple(
            Fallen(ways.to(ref), tuple(tuple(told(reason, ways, then=True)) for reason in reasons))
            for ref, reasons in one.decisions.items()
        ),
        leaning=tuple(ways.to(ref) for ref in one.leaning),
        answers=tuple(ways.to(ref) for ref in one.answers),
        fallen=tuple(ways.to(ref) for ref in one.fallen),
    )


def sweep_page(casebook: Casebook, test: Test, here: str) -> str:
    """Return the page that withdraws every source in turn, and everything from each person."""
    ways, able = Ways(casebook, here), casebook.ground is not None
    return page(
        "impact",
        sources=tuple(lost(one, ways) for one in test.sweep()) if able else (),
        people=tuple(lost(one, ways) for one in test.by_person()) if able else (),
    )


def _move(move: Move, ways: Ways) -> Moved:
    return Moved(
        question=ways.to(move.question),
        rival=ways.to(move.rival),
        before=percents.chance(move.before),
        after="no answer" if move.after is None else percents.chance(move.after),
        by="" if move.after is None else points(move.before, move.after),
    )


def points(before: float, after: float) -> str:
    """Return by how much a confidence moves, in points: hundredths of the whole, with a sign.

    It is the difference of the percents as they are shown, where both are shown whole.
    """
    apart = 100 * (after - before)
    if all(percents.WHOLE <= share < 1 - TOLD or share in (0, 1) for share in (before, after)):
        apart = percents.whole(after) - percents.whole(before)
    rounded = round(apart)
    if rounded == 0:
        return "by less than a point"
    return f"{'+' if rounded > 0 else words.MINUS}{words.count(abs(rounded), 'point')}"


def _led(led: Led, ways: Ways) -> tuple[Link, Link, Link]:
    before = ways.to(led.before) if led.before is not None else Link("nobody", None)
    if led.refused:
        return ways.to(led.question), before, Link(f"it could not be weighed any more: {led.refused}", None)
    return ways.to(led.question), before, ways.to(led.after) if led.after is not None else Link("nobody", None)
