"""Every question weighed, and what of it the store keeps: drawn once, and again only when what is weighed is another.

It is the same for the entries of today and for those of any day before.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from ledger.casebook.cases import Ground, case, links
from ledger.casebook.items import Finding
from ledger.casebook.known import open_links
from ledger.casebook.recomputing import Unpacked, code_digest, pack
from ledger.errors import WeighingRefused
from ledger.store.derived import Cached
from ledger.weighing.linking import groups
from ledger.weighing.values import NONE, Account, AccountLine, Case, Impossible, Link, Order, Standing, Weighing
from ledger.weighing.weigh import weigh_together

WEIGHED = "weighing of "
WEIGHING = ("quantities", "weighing")


@dataclass(frozen=True)
class Weighed:
    """All questions weighed: the cases, the links between them, the weighings, and what could not be weighed.

    fresh    what had to be weighed now, for the store
    none     likewise, empty, of what could not be weighed: a store that has more there has it from elsewhere
    current  under which names the store keeps these weighings
    """

    cases: Mapping[str, Case]
    links: tuple[Link, ...]
    weighings: Mapping[str, Weighing]
    unweighed: tuple[Finding, ...]
    fresh: Mapping[str, Cached] = field(default_factory=dict, repr=False)
    none: Mapping[str, Cached] = field(default_factory=dict, repr=False)

    @property
    def current(self) -> frozenset[str]:
        return frozenset(WEIGHED + question for question in self.weighings)


def weigh_all(ground: Ground, draws: int, kept: Mapping[str, Cached] | None = None) -> Weighed:
    """Return every question weighed, linked ones together.

    kept  what the store has; weighings without draws take so little that none is looked for, and none is for the store
    """
    cases: dict[str, Case] = {}
    unweighed: list[Finding] = []
    for ref, item in ground.entries.items():
        if item.kind != "question":
            continue
        try:
            cases[ref] = case(ground, ref)
        except WeighingRefused as error:
            unweighed.append(Finding((ref,), str(error)))
    weighings: dict[str, Weighing] = {}
    fresh: dict[str, Cached] = {}
    none: dict[str, Cached] = {}
    rivals = {ref: [rival for rival in one.prior if rival != NONE] for ref, one in cases.items()}
    owner = {rival: ref for ref, names in rivals.items() for rival in names}
    known = open_links(links(ground.entries), ground.entries)
    held = tuple(link for link in known if link.one in owner and link.other in owner)
    for together in groups(rivals, held):
        group = [cases[ref] for ref in together]
        inside = [link for link in held if owner[link.one] in together]
        key = _key(group, inside, draws) if draws else ""
        found = _kept(group, key, kept or {})
        if found is None:
            try:
                found = weigh_together(group, inside, draws)
            except WeighingRefused as error:
                unweighed.append(Finding(together, str(error)))
                none |= {WEIGHED + ref: Cached(key, "", b"") for ref in together}
                continue
            if draws:
                fresh |= {WEIGHED + ref: _packed(key, weighing) for ref, weighing in found.items()}
        weighings |= found
    return Weighed(cases, held, dict(sorted(weighings.items())), tuple(unweighed), fresh, none)


def _key(group: Iterable[Case], inside: Iterable[Link], draws: int) -> str:
    """Return a digest of all that a group's weighings come from."""
    said = json.dumps([code_digest(WEIGHING), draws, list(group), list(inside)], sort_keys=True, default=vars)
    return hashlib.sha256(said.encode()).hexdigest()


def _kept(group: Iterable[Case], key: str, kept: Mapping[str, Cached]) -> dict[str, Weighing] | None:
    """Return the weighings of a group, if the store has them all and each is one of its question."""
    found = {}
    for one in group:
        row = kept.get(WEIGHED + one.question)
        weighing = _unpacked(row) if row is not None and row.key == key else None
        if weighing is None or not _fits(weighing, one):
            return None
        found[one.question] = weighing
    return found


def _fits(weighing: Weighing, of: Case) -> bool:
    """Return whether a weighing is one of a question: its rivals, each with numbers where a weighing has numbers."""
    standings = weighing.standings
    chances = [chance for one in standings for chance in (one.prior, one.linked_prior, one.confidence)]
    drawn = [chance for one in standings for chance in (one.low, one.median, one.high, one.first) if chance is not None]
    rows = [row for table in (weighing.weights, weighing.through) for row in table.values()]
    return (
        weighing.question == of.question
        and sorted(one.rival for one in standings) == sorted(of.prior)
        and all(isinstance(chance, float) and 0 <= chance <= 1 for chance in (*chances, *drawn))
        and all(isinstance(number, float) for row in rows for number in row.values())
        and weighing.leader in (None, *of.prior)
    )


def _packed(key: str, weighing: Weighing) -> Cached:
    said = {name: value for name, value in vars(weighing).items() if name != "drawn"}
    return Cached(key, json.dumps(said, default=vars, allow_nan=False), pack(weighing.drawn))


def _unpacked(row: Cached) -> Weighing | None:
    try:
        said = json.loads(row.summary)
        return Weighing(
            **said
            | {
                "standings": tuple(Standing(**one) for one in said["standings"]),
                "account": _account(said["account"]),
                "infinite": {ref: tuple(rivals) for ref, rivals in said["infinite"].items()},
                "linked": tuple(said["linked"]),
                "impossible": tuple(Impossible(one["rival"], tuple(one["links"])) for one in said["impossible"]),
                "orders": tuple(Order(**one) for one in said["orders"]),
                "drawn": Unpacked(row.draws),
            }
        )
    except (AttributeError, KeyError, TypeError):  # words of another make
        return None


def _account(said: Mapping[str, Any]) -> Account:
    lines = tuple(AccountLine(**line) for line in said["lines"])
    return Account(said["leader"], said["runner_up"], said["total"], lines)
