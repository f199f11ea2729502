"""What a casebook is made of: entries, findings, in which draws criteria hold, and the edition it is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ledger.entries.models import Entry


@dataclass(frozen=True)
class Item:
    """One standing or withdrawn entry: `entry` is its checked front matter, `body` its Markdown."""

    ref: str
    kind: str
    name: str
    entry: Entry
    body: str
    revisions: int

    @property
    def title(self) -> str:
        """Return the entry's title."""
        return self.entry.title


@dataclass(frozen=True, eq=False)
class Held:
    """In which draws all criteria of a hypothesis hold, (draws,), and the calculations that say so."""

    draws: np.ndarray
    calculations: tuple[str, ...]

    @property
    def share(self) -> float:
        """Return the chance that they all hold in the same draw."""
        return float(self.draws.mean())


@dataclass(frozen=True)
class Finding:
    """Something a person should look at: the entries it concerns and what to do about it."""

    about: tuple[str, ...]
    message: str


@dataclass(frozen=True)
class Edition:
    """One published state: its number and the fingerprint of its content."""

    number: int
    fingerprint: str
