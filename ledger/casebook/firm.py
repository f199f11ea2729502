"""How firm the confidences of a casebook are, as frozen values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ledger.casebook.losing import Loss
    from ledger.weighing.believing import Belief, Wrong
    from ledger.weighing.fragility import GradeEffect, SmallestSet


@dataclass(frozen=True)
class Firmness:
    """What could change a leader.

    losses   of each source, note, measurement and calculation in turn, those that matter most first
    sets     by question, the smallest set of notes whose loss changes its leader
    beliefs  by question, what one would have to believe for each rival that does not lead
    wrong    by question, how wrong each bearing would have to be
    grades   where all questions stand with other chances for the grades; as stated first
    """

    losses: tuple[Loss, ...] = ()
    sets: Mapping[str, SmallestSet] = field(default_factory=dict)
    beliefs: Mapping[str, tuple[Belief, ...]] = field(default_factory=dict)
    wrong: Mapping[str, tuple[Wrong, ...]] = field(default_factory=dict)
    grades: tuple[GradeEffect, ...] = ()
