"""How fragile a casebook is: what losing each source, note, measurement or calculation does, and what to believe.

Nothing is drawn: every confidence here is the one at the middles of all that is stated as a range.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TypeVar

from ledger.casebook.firm import Firmness
from ledger.casebook.losing import Loss
from ledger.casebook.values import Casebook
from ledger.store.engine import Store
from ledger.weighing import believing, fragility
from ledger.weighing.anew import in_groups
from ledger.weighing.believing import Belief, Wrong
from ledger.weighing.fragility import GradeEffect, SmallestSet
from ledger.weighing.values import Case, Link

Found = TypeVar("Found")


def losses(casebook: Casebook, store: Store | None = None) -> tuple[Loss, ...]:
    """Return what losing each source, note, measurement and calculation would do, those that matter most first.

    Just what a ledger in which it is withdrawn says: what retells a lost source becomes an origin itself; measurements
    of it fall away, and with them the calculations that stand on them, and those that stand on these; a hypothesis is
    then tested by the calculations that are left. A thing that bears on no question has no entry here.

    store  where to keep the feasibilities by fewer calculations, which are slow to work out
    """
    losing = casebook.losing
    found = [loss for ref in losing.things() for loss in losing.of(ref).losses]
    if store is not None:
        losing.keep(store)
    return tuple(sorted(found, key=_rank))


def firmness(casebook: Casebook, store: Store | None = None) -> Firmness:
    """Return all that could change a leader; `store` as for `losses`."""
    return Firmness(
        losses(casebook, store),
        smallest_sets(casebook),
        beliefs(casebook),
        how_wrong(casebook),
        grade_effects(casebook),
    )


def _rank(loss: Loss) -> tuple[bool, float, str, str]:
    return not loss.changed, -round(abs(loss.moved or 0.0), 12), loss.ref, loss.question


def smallest_sets(casebook: Casebook) -> dict[str, SmallestSet]:
    """Return, by question, the smallest set of its own notes whose loss changes its leader."""
    return _by_group(casebook, fragility.smallest_sets)


def beliefs(casebook: Casebook) -> dict[str, tuple[Belief, ...]]:
    """Return, by question, what one would have to believe for each rival that does not lead."""
    return _by_group(casebook, believing.beliefs)


def how_wrong(casebook: Casebook) -> dict[str, tuple[Wrong, ...]]:
    """Return, by question, how wrong each note's bearing would have to be for the leader to change."""
    return _by_group(casebook, believing.how_wrong)


def grade_effects(casebook: Casebook) -> tuple[GradeEffect, ...]:
    """Return where all questions stand with other chances for the grades; as stated first."""
    if casebook.ground is None:
        return ()
    weighed = {question: one for question, one in casebook.cases.items() if question in casebook.weighings}
    return fragility.grade_effects(weighed, casebook.links, casebook.ground.grades)


def _by_group(
    casebook: Casebook, ask: Callable[[Sequence[Case], Sequence[Link]], Mapping[str, Found]]
) -> dict[str, Found]:
    found: dict[str, Found] = {}
    for names, inside in in_groups(casebook.cases, casebook.links):
        if all(name in casebook.weighings for name in names):
            found |= ask([casebook.cases[name] for name in names], inside)
    return dict(sorted(found.items()))
