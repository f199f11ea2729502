"""The chain gone through once, and what is wrong with it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from sqlalchemy import Connection

from ledger.errors import StoreDamaged
from ledger.store.chain import START, Link
from ledger.store.recording import ref_of
from ledger.store.records import links

RESTORE = (
    "Restore a copy of the ledger file; or move the file away and run `witness post`, which makes it anew from "
    "entries/history.jsonl and the entry files."
)
REBUILD = "The revisions have it right: `witness check --rebuild` derives it from them again."
MOST_TOLD = 5


@dataclass(frozen=True)
class Problem:
    """Something that does not verify: the entries it concerns, what it is, and what to do about it."""

    about: tuple[str, ...]
    message: str
    remedy: str

    def __str__(self) -> str:
        named = ", ".join(self.about)
        return f"{named + ': ' if named else ''}{self.message}. {self.remedy}"


def damaged(problems: list[Problem], ending: str) -> StoreDamaged:
    """Return the refusal that tells the first of these problems and ends with what became of the work."""
    more = [f"and {len(problems) - MOST_TOLD} more problems"] if len(problems) > MOST_TOLD else []
    told = [str(problem) for problem in problems[:MOST_TOLD]]
    return StoreDamaged("\n".join(("The ledger file does not verify.", *told, *more, ending)))


def walked(connection: Connection) -> Past:
    """Return the past after going through every revision."""
    past = Past()
    for link in links(connection):
        past.take(link)
    return past


@dataclass
class Past:
    """The chain gone through once: what it says of every entry, and what is wrong with it."""

    seq: int = 0
    hash: str = START
    latest: dict[int, Link] = field(default_factory=dict)
    former: dict[str, int] = field(default_factory=dict)
    erased: set[int] = field(default_factory=set)
    worded: dict[int, list[int]] = field(default_factory=dict)
    wordless: dict[int, list[int]] = field(default_factory=dict)
    wordless_count: int = 0
    said: list[Link] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)

    def take(self, link: Link) -> None:
        """Go on by one revision. After a gap the chain is followed from where it goes on, so one gap is told once."""
        ref = ref_of(link.kind, link.name)
        self.problems += [Problem((ref,), wrong, RESTORE) for wrong in link.faults(self.seq + 1, self.hash)]
        self.seq, self.hash = link.seq, link.hash
        if link.entry in self.latest and (before := ref_of(link.kind, self.latest[link.entry].name)) != ref:
            self.former[before] = link.entry
        if self.former.get(ref) == link.entry:
            del self.former[ref]
        if link.action == "erased":
            self.erased.add(link.entry)
        elif link.text is None:
            self.wordless.setdefault(link.entry, []).append(link.seq)
            self.wordless_count += 1
        else:
            self.worded.setdefault(link.entry, []).append(link.seq)
        self.latest[link.entry] = link
        self.said.append(link)

    def words(self) -> Iterator[Problem]:
        """Return words that are gone without an erasure, and words that are there in spite of one."""
        for entry, link in self.latest.items():
            ref = ref_of(link.kind, link.name)
            if entry in self.erased and entry in self.worded:
                yield Problem(
                    (ref,),
                    f"the words of revision {self.worded[entry][0]} are there, though the entry was erased",
                    RESTORE,
                )
            if entry not in self.erased and entry in self.wordless:
                yield Problem(
                    (ref,),
                    f"the words of revision {self.wordless[entry][0]} are gone, though the entry was not erased",
                    RESTORE,
                )

    def all_problems(self) -> list[Problem]:
        """Return what is wrong with the chain and with the words in it."""
        return [*self.problems, *self.words()]
