"""The picture itself. Pages, traces and commands read this and nothing below it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

from ledger.calculators.results import Result
from ledger.casebook.cases import Ground
from ledger.casebook.firm import Firmness
from ledger.casebook.items import Edition, Finding, Item
from ledger.casebook.moments import Course
from ledger.entries.models import Calculation, Hypothesis, Investigation
from ledger.errors import PhotoRefused
from ledger.weighing.values import Case, Link, Weighing

if TYPE_CHECKING:
    from ledger.casebook.editions import Published
    from ledger.casebook.losing import Losing
    from ledger.casebook.taking import Then
    from ledger.photo.declaring import Found
    from ledger.store.chain import Link as ChainLink


def _unmeasured(ref: str) -> Found:
    raise PhotoRefused(f"{ref} was not measured: nothing is at hand here.")


@dataclass(frozen=True)
class Casebook:
    """Entries by ref in stable order (withdrawn ones apart), results by calculation, weighings by question.

    used_by       by ref, the refs of the standing entries that name it
    feasibility   by hypothesis ref, the chance that all its criteria hold together (absent when it is untested)
    soundness     by grade letter A–F, the chance R used; `tracking` by grade digit 1–6, the chance r used
    twice         measurements that would count twice
    refused       by calculation ref, why it could not be computed
    cases         what was weighed, by question; `links` between their rivals; `ground` what cases are made from
    course        how confidences went as postings came in, `firmness` how firm they are, `taken` what each decision
                  stood on when it was taken: worked out when first asked for
    late          by resolved question, the replies whose confidences were posted after its answer was: likewise
    editions      published states up to this one, oldest first, worked out when first asked for
    history       the links of the record up to this state, oldest first, read when asked for
    measured      what the picks of a measurement give, by its ref; raises PhotoRefused for what cannot be measured
    """

    entries: Mapping[str, Item]
    withdrawn: Mapping[str, Item]
    results: Mapping[str, Result]
    refused: Mapping[str, str]
    weighings: Mapping[str, Weighing]
    feasibility: Mapping[str, float]
    used_by: Mapping[str, tuple[str, ...]]
    soundness: Mapping[str, float]
    tracking: Mapping[str, float]
    findings: tuple[Finding, ...]
    twice: tuple[Finding, ...]
    edition: Edition
    cases: Mapping[str, Case] = field(default_factory=dict, repr=False)
    links: tuple[Link, ...] = ()
    ground: Ground | None = field(default=None, repr=False, compare=False)
    course: Callable[[], Course] = field(default=Course, repr=False, compare=False)
    firmness: Callable[[], Firmness] = field(default=Firmness, repr=False, compare=False)
    late: Callable[[], Mapping[str, frozenset[str]]] = field(default=dict, repr=False, compare=False)
    taken: Callable[[], Mapping[str, Then]] = field(default=dict, repr=False, compare=False)
    editions: Callable[[], tuple[Published, ...]] = field(default=tuple, repr=False, compare=False)
    history: Callable[[], tuple[ChainLink, ...]] = field(default=tuple, repr=False, compare=False)
    measured: Callable[[str], Found] = field(default=_unmeasured, repr=False, compare=False)

    @property
    def investigation(self) -> Investigation:
        """Return what the investigation says of itself."""
        entry = next(item.entry for item in self.entries.values() if item.kind == "investigation")
        assert isinstance(entry, Investigation)
        return entry

    def of_kind(self, kind: str) -> tuple[Item, ...]:
        """Return the standing entries of a kind, in order of name."""
        return tuple(item for item in self.entries.values() if item.kind == kind)

    @cached_property
    def losing(self) -> Losing:
        """What losing some of its things would do, worked out once for all that ask."""
        from ledger.casebook.losing import Losing

        return Losing(self.ground, self.refused, self.cases)

    def uncomputed(self, hypothesis: str) -> tuple[str, ...]:
        """Return the calculations about a hypothesis that could not be computed, in order of name."""
        about = [item for item in self.of_kind("calculation") if item.ref in self.refused]
        return tuple(
            item.ref for item in about if isinstance(item.entry, Calculation) and hypothesis in item.entry.hypotheses
        )

    def rivals(self, question: str) -> tuple[Item, ...]:
        """Return the standing hypotheses of a question, in order of name."""
        return tuple(
            item
            for item in self.of_kind("hypothesis")
            if isinstance(item.entry, Hypothesis) and item.entry.question == question
        )
