"""The record gone through once: its postings, the names entries have, and what the ledger came to after each posting.

What a posting came to is kept in the store under the hash of its revision, so that a later posting adds one moment and
computes no other.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from ledger.calculators.contract import Calculator
from ledger.casebook.moments import Moment
from ledger.casebook.rebuilding import NOTHING, Readings, Told, Unreadable, named, rebuilt, states
from ledger.casebook.recomputing import COMPUTING, Progress, code_digest
from ledger.store import derived
from ledger.store.chain import Link
from ledger.store.engine import Store
from ledger.store.recording import ref_of
from ledger.store.records import links
from ledger.weighing.values import NONE

WEIGHING = ("casebook", "entries", "weighing")


@dataclass(frozen=True)
class Record:
    """The chain up to a revision.

    chain     its links in order
    present   what the last state comes to, given the ids of entries by ref
    fresh     results computed for that last state, for a store that cannot be written to
    progress  called with what was computed anew, and for which day
    keeping   whether the store is to keep what is worked out
    """

    store: Store
    chain: tuple[Link, ...]
    register: Mapping[str, Calculator]
    count: int
    present: Callable[[Mapping[str, int]], Told]
    fresh: Mapping[str, derived.Cached] = field(default_factory=dict)
    progress: Progress = lambda _: None
    keeping: bool = True
    readings: Readings = field(default_factory=Readings)

    @cached_property
    def ends(self) -> list[Link]:
        """Return the last revision of every posting: revisions that follow each other with the same time are one."""
        after = [*self.chain[1:], None]
        return [link for link, then in zip(self.chain, after, strict=True) if then is None or then.at != link.at]

    @cached_property
    def names(self) -> dict[int, str]:
        """Return the present ref of every entry by its id."""
        return {link.entry: ref_of(link.kind, link.name) for link in self.chain}

    @cached_property
    def ids(self) -> dict[str, int]:
        """Return the id of every entry by all refs it ever had; no name was ever another entry's."""
        return {ref_of(link.kind, link.name): link.entry for link in self.chain}

    @cached_property
    def present_names(self) -> dict[str, str]:
        """Return the present ref of every entry by all refs it ever had."""
        return {ref: self.names[entry] for ref, entry in self.ids.items()}

    def place(self, seq: int) -> int:
        """Return the place, among the postings, of the one that a revision came with."""
        return next(place for place, end in enumerate(self.ends) if end.seq >= seq)

    def told(self, places: Collection[int], alone: bool) -> tuple[dict[int, Told], dict[int, str]]:
        """Return what the ledger came to after some postings, and why that is not known of the others.

        alone  whether the store is to keep these and no others; else those that are still true stay with them
        """
        code, had, last = _code(self.count), derived.kept_moments(self.store), len(self.ends) - 1
        keys = {end.seq: f"{code} {end.hash}" for end in self.ends}
        told: dict[int, Told] = {last: self.present({ref: entry for entry, ref in self.names.items()})}
        lost: dict[int, str] = {}
        seqs = {place: self.ends[place].seq for place in sorted(places)}
        told |= {
            place: said
            for place, seq in seqs.items()
            if place not in told and (said := _kept(had.get(seq), keys[seq])) is not None
        }
        stale = [place for place in seqs if place not in told]
        if stale:
            kept = {**derived.cached_results(self.store), **self.fresh}
            stood = states(self.chain, {seqs[place] for place in stale})
            for place in reversed(stale):
                day = self.ends[place].at[:10]
                try:
                    told[place] = rebuilt(
                        stood[seqs[place]], self.register, self.count, kept, self.readings, self.progress, day
                    )
                except Unreadable as error:
                    lost[place] = str(error)
        if self.keeping and self.store.writable:
            others = {} if alone else {seq: one for seq, one in had.items() if keys.get(seq) == one[0]}
            made = {self.ends[place].seq: one for place, one in sorted(told.items())}
            with derived.as_far_as_possible():
                derived.replace_moments(
                    self.store, {**others, **{seq: (keys[seq], json.dumps(one)) for seq, one in made.items()}}
                )
        return told, lost

    def moment(self, place: int, told: Told) -> Moment:
        """Return what a posting came to under present refs."""
        end = self.ends[place]
        return Moment(
            end.seq,
            end.at,
            {
                self.names[int(question)]: {self._named(rival): share for rival, share in shares.items()}
                for question, shares in told["confidences"].items()
            },
            {
                self.names[int(question)]: None if leader is None else self._named(leader)
                for question, leader in told["leaders"].items()
            },
            {
                self.names[int(entry)]: {named(one, self.names): chance for one, chance in chances.items()}
                for entry, chances in told["kept"].items()
            },
        )

    def _named(self, rival: str) -> str:
        return rival if rival == NONE else self.names[int(rival)]


def _kept(row: tuple[str, str] | None, key: str) -> Told | None:
    """Return what the store has under a key; None if it has nothing that can be read."""
    if row is None or row[0] != key:
        return None
    said: Any = json.loads(row[1])
    return said if isinstance(said, dict) and said.keys() == NOTHING.keys() else None


def untrue(
    store: Store, register: Mapping[str, Calculator], count: int, fresh: Mapping[str, derived.Cached]
) -> tuple[str, ...]:
    """Return the times of kept moments that the record does not give.

    fresh  present results, computed anew; nothing that the store has kept is trusted
    """
    had = derived.kept_moments(store)
    with store.reading() as connection:
        chain = list(links(connection))
    code, readings, kept = _code(count), Readings(), dict(fresh)
    held = {link.seq: link for link in chain if had.get(link.seq, ("",))[0] == f"{code} {link.hash}"}
    stood, wrong = states(chain, held.keys()), []
    for seq, link in reversed(held.items()):
        try:
            told: Told | None = rebuilt(stood[seq], register, count, kept, readings, lambda _: None, "")
        except Unreadable:
            told = None
        if told != json.loads(had[seq][1]):
            wrong.append(link.at)
    return tuple(sorted(wrong))


def _code(count: int) -> str:
    """Return what the source that a confidence comes from, and the number of draws, are known by."""
    return f"{code_digest((*COMPUTING, *WEIGHING))} {count}"
