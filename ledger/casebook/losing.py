"""What losing things would do to each question: sources, notes, measurements, calculations, one or several together.

Nothing is drawn: every confidence here is the one at the middles of all that is stated as a range.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from ledger.casebook.cases import Ground, case
from ledger.casebook.lessening import Lessened, Lessening
from ledger.errors import WeighingRefused
from ledger.store import derived
from ledger.store.engine import Store
from ledger.weighing.anew import Position, Ready, connected, in_groups, lessened, make_ready, positions
from ledger.weighing.linking import Group
from ledger.weighing.values import Case, Link

NOTICED = 1e-12  # of a confidence; what links carry over less of than this is left out
Attempt = Group | WeighingRefused
Names = tuple[str, ...]


@dataclass(frozen=True)
class Loss:
    """What losing one thing, or several together, would do to one question.

    ref          what is lost, `kind` its kind: source, evidence, measurement or calculation; several are listed with
                 commas, and their kind is `together`
    before       who leads now, None if nobody does; `after` who would lead
    confidences  of every rival, after; empty where the question could not be weighed any more, see `refused`
    moved        what the leader's confidence would gain, -1 to 1; None where it could not be weighed before or after
    through      the thing does not bear on the question itself, only on questions linked to it
    """

    ref: str
    kind: str
    question: str
    before: str | None
    after: str | None
    confidences: Mapping[str, float]
    moved: float | None
    through: bool = False
    refused: str = ""

    @property
    def changed(self) -> bool:
        """Return whether another rival would lead, or none that is there; not known of what could not be weighed."""
        return not self.refused and self.before != self.after


@dataclass(frozen=True)
class Without:
    """What losing some things together would do: to each question it touches, and the calculations that would fall."""

    refs: tuple[str, ...]
    losses: tuple[Loss, ...]
    fallen: frozenset[str] = frozenset()


class Losing:
    """A ledger from which things may be taken, one or several together; what they share is worked out once.

    ground   what cases are made from; None where nothing can be taken
    refused  by calculation, why it could not be computed; `cases` what was weighed, by question
    """

    def __init__(self, ground: Ground | None, refused: Mapping[str, str], cases: Mapping[str, Case]) -> None:
        self._ground = ground
        self._ledger = None if ground is None else Lessening(ground, refused)
        self._now = None if self._ledger is None else _State(cases, self._ledger)
        self._found: dict[tuple[str, ...], Without] = {}

    def things(self) -> list[str]:
        """Return every source, note, measurement and calculation."""
        return [] if self._ledger is None else [ref for _, ref in self._ledger.things()]

    def of(self, *refs: str) -> Without:
        """Return what losing some of these things together would do, the questions in order of name."""
        if self._ledger is None or self._now is None or self._ground is None:
            return Without(refs, ())
        if refs not in self._found:
            less = self._ledger.without(*refs)
            kind = self._ground.entries[refs[0]].kind if len(refs) == 1 else "together"
            self._found[refs] = Without(refs, tuple(self._now.without(kind, less)), less.fallen)
        return self._found[refs]

    def keep(self, store: Store) -> None:
        """Keep the feasibilities by fewer calculations that were worked out, in a store that can be written to."""
        if store.writable and self._ground is not None and self._ground.parts is not None:
            with derived.as_far_as_possible():
                derived.put_results(store, self._ground.parts.fresh)


class _State:
    """The questions as they are, and as they would be; groups and links are worked out once for each set of them."""

    def __init__(self, cases: Mapping[str, Case], ledger: Lessening) -> None:
        self._links = ledger.links
        self._groups: dict[Names, list[tuple[Names, list[Link]]]] = {}
        self._connected: dict[Names, Attempt] = {}
        self._cases = {ref: cases[ref] for ref in ledger.questions if ref in cases}
        self._unready: dict[str, str] = {}
        self._ready: dict[str, Ready] = {}
        for question, one in self._cases.items():
            try:
                self._ready[question] = make_ready(one)
            except WeighingRefused as error:
                self._unready[question] = str(error)
        self._now: dict[str, Position] = {}
        for names, inside in self._split(self._cases):
            found = self._weigh(names, inside, self._cases, self._ready, self._unready)
            self._now |= {} if isinstance(found, str) else found

    def without(self, kind: str, less: Lessened) -> Iterator[Loss]:
        """Yield what losing some things would do to each question they touch, themselves or through links."""
        if not less.touched:
            return
        cases, ready, unready = dict(self._cases), dict(self._ready), dict(self._unready)
        refused: dict[str, str] = {}
        for question in less.touched:
            if less.rows is not None and question in ready:
                ready[question] = lessened(ready[question], less.rows)
                cases[question] = ready[question].case
                continue
            cases.pop(question, None)
            ready.pop(question, None)
            unready.pop(question, None)
            try:
                cases[question] = case(less.ground(question), question)
                ready[question] = make_ready(cases[question])
            except WeighingRefused as error:
                (unready if question in cases else refused)[question] = str(error)
        touched = set(less.touched)
        then: dict[str, Position] = {}
        concerned = {name for names, _ in self._split(self._cases) if touched.intersection(names) for name in names}
        for names, inside in self._split(cases):
            if concerned.intersection(names):
                found = self._weigh(names, inside, cases, ready, unready)
                if isinstance(found, str):
                    refused |= dict.fromkeys(names, found)
                else:
                    then |= found
                concerned.update(names)
        for question in sorted(concerned | touched):
            if question in touched or _differ(self._now.get(question), then.get(question)):
                yield self._loss(kind, less, question, then.get(question), refused.get(question, ""))

    def _loss(self, kind: str, less: Lessened, question: str, then: Position | None, refused: str) -> Loss:
        now = self._now.get(question)
        before = None if now is None else now.leader
        moved = None
        if now is not None and then is not None and before is not None:
            moved = then.confidences[before] - now.confidences[before]
        return Loss(
            ref=", ".join(less.refs),
            kind=kind,
            question=question,
            before=before,
            after=None if then is None else then.leader,
            confidences={} if then is None else then.confidences,
            moved=moved,
            through=question not in less.touched,
            refused=refused,
        )

    def _split(self, cases: Mapping[str, Case]) -> list[tuple[Names, list[Link]]]:
        names = tuple(sorted(cases))
        if names not in self._groups:
            self._groups[names] = in_groups({name: cases[name] for name in names}, self._links)
        return self._groups[names]

    def _weigh(
        self,
        names: Names,
        inside: list[Link],
        cases: Mapping[str, Case],
        ready: Mapping[str, Ready],
        unready: Mapping[str, str],
    ) -> dict[str, Position] | str:
        """Return where the questions of a group stand, or why they cannot be weighed."""
        for name in names:
            if name in unready:
                return unready[name]
        if names not in self._connected:
            try:
                self._connected[names] = connected([cases[name] for name in names], inside)
            except WeighingRefused as error:
                self._connected[names] = error
        of = self._connected[names]
        if isinstance(of, WeighingRefused):
            return str(of)
        try:
            return positions(of, {name: ready[name] for name in names})
        except WeighingRefused as error:
            return str(error)


def _differ(one: Position | None, other: Position | None) -> bool:
    if one is None or other is None:
        return one is not other
    return any(abs(value - other.confidences[rival]) > NOTICED for rival, value in one.confidences.items())
