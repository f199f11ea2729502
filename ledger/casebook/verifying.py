"""Everything `witness check` looks at: the record's chain, what entries name, whether results follow from inputs."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from ledger.calculators.bench import DRAWS
from ledger.calculators.contract import Calculator
from ledger.calculators.register import REGISTER
from ledger.casebook.combined import unlike_their_parts
from ledger.casebook.measured import untrue_of_picks
from ledger.casebook.measuring import unlike_their_picks
from ledger.casebook.opening import STORE, worked_out_anew
from ledger.casebook.originals import all_unread
from ledger.casebook.record import untrue
from ledger.casebook.values import Casebook
from ledger.store import derived
from ledger.store.engine import open_store
from ledger.store.verifying import verify


@dataclass(frozen=True)
class Problem:
    """Something found. `severity` is wrong (the ledger cannot be trusted as it is) or look (a person should)."""

    severity: str
    message: str


def problems(
    root: Path,
    *,
    register: Mapping[str, Calculator] = REGISTER,
    count: int = DRAWS,
    looks: Callable[[Casebook], Iterable[str]] = lambda _: (),
) -> tuple[Problem, ...]:
    """Return what is wrong with a ledger, then what a person should look at.

    looks  what the layers above find to look at

    Everything is worked out again from the entries and held against what the store keeps, of which nothing is taken: a
    result or a weighing that was changed in the store, or that the entries do not give, is wrong. A measurement that
    would count twice is wrong until one of the two is declared not to count. So is a calculation that cannot be
    computed, and a measurement whose quantity is not what its picks give.
    """
    store = open_store(root / STORE, create=False)
    wrong = [Problem("wrong", str(one)) for one in verify(store).problems]
    if wrong:
        return tuple(wrong)
    kept = derived.cached_results(store)
    casebook, anew = worked_out_anew(root, register, count)
    wrong += [
        Problem(
            "wrong",
            f"what the store keeps of {name} is not what the entries give; `witness post` cannot mend that: "
            "delete it from the table `result` and rank again.",
        )
        for name in sorted(kept.keys() & anew.keys())
        if kept[name].key == anew[name].key and kept[name] != anew[name]
    ]
    assert casebook.ground is not None
    parts = casebook.ground.parts
    wrong += [
        Problem(
            "wrong",
            f"the store keeps another feasibility by {', '.join(tested)} alone than they give; `witness post` cannot "
            "mend that: empty the table `result` and publish again.",
        )
        for tested in ([] if parts is None else parts.untrue(kept))
    ]
    wrong += [
        Problem(
            "wrong",
            f"the confidences kept of {at} are not what the record gives; `witness post` cannot mend that: "
            "empty the table `moment` and publish again.",
        )
        for at in untrue(store, register, count, anew)
    ]
    wrong += [Problem("wrong", reason) for reason in casebook.refused.values()]
    twice = [Problem("wrong", finding.message) for finding in casebook.twice]
    unlike, away = (
        one + other
        for one, other in zip(unlike_their_picks(casebook, root), unlike_their_parts(casebook, root), strict=True)
    )
    picked = [Problem("wrong", message) for message in unlike]
    picked += [
        Problem(
            "wrong",
            f"what the store keeps of {ref} is not what its picks give; `witness post` cannot mend that: "
            "empty the table `result` and publish again.",
        )
        for ref in untrue_of_picks(casebook, kept, root)
    ]
    seen = (one.message for one in casebook.findings if one.message not in casebook.refused.values())
    told = (*seen, *looks(casebook), *all_unread(casebook, root), *away)
    look = [Problem("look", message) for message in told]
    return (*wrong, *twice, *picked, *look)
