"""How fragile a lead is: the smallest set of notes whose loss changes it, and what the table of grades does to it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from ledger.errors import WeighingRefused
from ledger.quantities.chance import Chance
from ledger.weighing.anew import Position, connected, in_groups, lessened, make_ready, position, positions, together
from ledger.weighing.checking import check_links
from ledger.weighing.losing import losing
from ledger.weighing.values import Case, Link, Note, Prediction, Stated

LOWER = dict(zip("ABCD1234", "BCDE2345", strict=True))  # E and 5 are the lowest; F and 6 are no place on the ladder
GRADE = "grade "


@dataclass(frozen=True)
class SmallestSet:
    """The smallest set of a question's own notes whose loss changes its leader.

    notes   by ref; empty where no set was found
    before  who leads with them, None if nobody may; `after` who leads without them
    looked  sets up to this size were looked through
    exact   no smaller set would do, or, where none was found, none there is; else `notes` is an upper bound, or the
            search was broken off
    """

    question: str
    notes: tuple[str, ...]
    before: str | None
    after: str | None
    looked: int
    exact: bool

    @property
    def found(self) -> bool:
        """Return whether there is such a set."""
        return bool(self.notes)


@dataclass(frozen=True)
class GradeEffect:
    """Where questions stand with other chances for the grades.

    table      which chances: as stated, low ends, high ends, a step lower, all alike, at their word
    positions  by question; one that cannot be weighed so is in `refused`, with the reason
    """

    table: str
    positions: Mapping[str, Position]
    refused: Mapping[str, str] = field(default_factory=dict)


def smallest_sets(cases: Sequence[Case], links: Iterable[Link] = ()) -> dict[str, SmallestSet]:
    """Return, by question, the smallest set of its own notes whose loss changes its leader.

    Measurements held against predictions stay. A lost note is lost to every question of a linked group. Given the
    priors, origins are independent, so the best loss of so many notes of each origin, and of them the best choice over
    all origins, is exact; what is found is then weighed without those notes. It is only an upper bound where an origin
    has so many notes that not all sets of them could be tried, or where a note bears on a linked question too, whose
    word on this one then changes as well.

    Raises WeighingRefused as `weigh_together` does.
    """
    links = tuple(links)
    check_links(cases, links)
    by_question = {case.question: case for case in cases}
    found: dict[str, SmallestSet] = {}
    for names, inside in in_groups(by_question, links):
        found |= _of_group({name: by_question[name] for name in names}, inside)
    return dict(sorted(found.items()))


def _of_group(cases: Mapping[str, Case], links: Sequence[Link]) -> dict[str, SmallestSet]:
    of, ready = connected(list(cases.values()), links), {name: make_ready(case) for name, case in cases.items()}
    told: dict[str, set[str]] = {}
    for name, case in cases.items():
        for note in case.notes:
            told.setdefault(note.ref, set()).add(name)

    def leads_without(question: str, gone: frozenset[str]) -> str | None:
        touched = {name for ref in gone for name in told[ref]}
        less = {name: lessened(ready[name], gone) for name in touched}
        return positions(of, {**ready, **less})[question].leader

    found = {}
    for question, one in together(of, ready).items():
        before = position(one).leader
        result = SmallestSet(question, (), before, before, 0, True)
        if before is not None:
            shared = any(len(told[note.ref]) > 1 for note in cases[question].notes)
            search = losing(one, before)
            for notes in search.sets():
                after = leads_without(question, frozenset(notes))
                if after != before:
                    exact = search.exact and not (shared and len(notes) > 1)
                    result = SmallestSet(question, tuple(sorted(notes)), before, after, len(notes), exact)
                    break
            else:
                result = replace(result, looked=search.looked, exact=search.exact and search.whole and not shared)
        found[question] = result
    return found


def grade_effects(
    cases: Mapping[str, Case], links: Iterable[Link], grades: Mapping[str, Chance]
) -> tuple[GradeEffect, ...]:
    """Return where all questions stand with other chances for the grades: as stated first, then every grade

    at the low end of its range, at the high end, taken a step lower (B as C, 2 as 3; F and 6, E and 5 stay), all alike
    (every letter as F, every digit as 6), and every source and note taken at its word (R = r = 1).

    grades  the range of each letter and digit; a chance of a case that has no range behind it stays as it is, but for
            the last two
    """

    def middle(grade: str) -> float:
        return float(grades[grade].middle)

    def lower(one: Stated) -> float:
        grade = one.name.removeprefix(GRADE)
        return middle(LOWER.get(grade, grade)) if one.name.startswith(GRADE) else (one.low + one.high) / 2

    def alike(one: Stated) -> float:
        return middle("6" if one.name.removeprefix(GRADE).isdigit() else "F")

    tables: dict[str, Callable[[Case], Case]] = {
        "as stated": lambda case: case,
        "low ends": lambda case: regraded(case, lambda one: min(one.low, one.high)),
        "high ends": lambda case: regraded(case, lambda one: max(one.low, one.high)),
        "a step lower": lambda case: regraded(case, lower),
        "all alike": lambda case: regraded(case, alike, (middle("F"), middle("6"))),
        "at their word": lambda case: regraded(case, lambda one: 1.0, (1.0, 1.0)),
    }
    links = tuple(links)
    return tuple(
        _effect(name, {ref: turn(case) for ref, case in cases.items()}, links) for name, turn in tables.items()
    )


def regraded(case: Case, chance: Callable[[Stated], float], bare: tuple[float, float] | None = None) -> Case:
    """Return a case with another chance for each grade.

    bare  soundness and credibility where no range is behind them; as they are if left out
    """

    def credibility(row: Note | Prediction) -> float:
        if row.trust:
            return math.prod(chance(one) for one in row.trust)
        return row.credibility if bare is None else bare[1]

    def soundness(origin: str, stated: float) -> float:
        if origin in case.trust:
            return chance(case.trust[origin])
        return stated if bare is None else bare[0]

    return replace(
        case,
        soundness={origin: soundness(origin, stated) for origin, stated in case.soundness.items()},
        notes=tuple(replace(note, credibility=credibility(note)) for note in case.notes),
        predictions=tuple(replace(item, credibility=credibility(item)) for item in case.predictions),
    )


def _effect(table: str, cases: Mapping[str, Case], links: tuple[Link, ...]) -> GradeEffect:
    found: dict[str, Position] = {}
    refused: dict[str, str] = {}
    for names, inside in in_groups(cases, links):
        some = [cases[name] for name in names]
        try:
            found |= positions(connected(some, inside), {case.question: make_ready(case) for case in some})
        except WeighingRefused as error:
            refused |= dict.fromkeys(names, str(error))
    return GradeEffect(table, dict(sorted(found.items())), refused)
