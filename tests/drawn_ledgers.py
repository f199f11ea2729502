"""Small ledgers drawn for tests, in which all hangs together: `check_ledger` finds no fault."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from ledger.entries import models
from tests.drawn_entries import bearings, marks
from tests.drawn_numbers import chances, dates, quantities
from tests.drawn_words import bodies, prose

Ledger = dict[tuple[str, str], tuple[dict[str, Any], str]]


class _Maker:
    """Draws one coherent ledger; entries refer only to entries made before them, so there are no cycles."""

    def __init__(self, draw: st.DrawFn) -> None:
        self.draw = draw
        self.ledger: Ledger = {}

    def add(self, kind: str, name: str, **front: Any) -> str:
        """Add an entry, with a drawn title and body; return its name."""
        front = {key.rstrip("_").replace("_", "-"): value for key, value in front.items() if value is not None}
        self.ledger[models.FOLDERS[kind], name] = (
            {"kind": kind, "title": self.draw(prose()), **front},
            self.draw(bodies()),
        )
        return name

    def some(self, *choices: Any) -> Any:
        return self.draw(st.sampled_from(choices))

    def count(self, low: int, high: int) -> int:
        return self.draw(st.integers(low, high))

    def make(self) -> Ledger:
        self.add("investigation", "gearbox", by=[self.draw(prose())], subject="an invented gearbox")
        self.sources = self._sources()
        self.measurements = [self._measurement(f"width-{n}") for n in range(self.count(1, 3))]
        self.rivals = {f"question-{n}": self._question(f"question-{n}") for n in range(self.count(1, 2))}
        self.notes = [self._note(f"note-{n}") for n in range(self.count(0, 4))]
        self._calculations()
        self._lookouts_and_words()
        return self.ledger

    def _sources(self) -> list[str]:
        made: list[str] = []
        for n in range(self.count(1, 3)):
            origin = self.some(None, *made)
            made.append(
                self.add(
                    "source",
                    f"source-{n}",
                    medium=self.some("photograph", "book", "patent"),
                    author=self.draw(prose()),
                    date=self.draw(dates()),
                    rights="by leave of the author",
                    reliability=self.some(*"ABCDEF"),
                    origin=origin,
                )
            )
        return made

    def _measurement(self, name: str) -> str:
        return self.add(
            "measurement",
            name,
            quantity=self.draw(quantities()),
            source=self.some(*self.sources),
            credibility=self.count(1, 6),
            method="scaled from a known bolt",
        )

    def _question(self, question: str) -> list[str]:
        """Make a question and its rivals; priors and none-of-these sum to one to three digits."""
        self.add("question", question, none_of_these=0.1)
        shares = [self.count(1, 5) for _ in range(self.count(2, 3))]
        rivals = []
        for n, share in enumerate(shares):
            rivals.append(
                self.add(
                    "hypothesis",
                    f"{question}-rival-{n}",
                    question=question,
                    prior=round(0.9 * share / sum(shares), 4),
                    reason=self.draw(prose()),
                    predicts={self.measurements[0]: self.draw(quantities())},
                )
            )
        self.add(
            "precedent",
            f"{question}-precedent",
            standing="in-use",
            from_=1931,
            traits=[self.draw(prose())],
            example_of=[self.some(*rivals)],
            source=self.some(None, *self.sources),
        )
        return rivals

    def _judged(self, rivals: list[str]) -> dict[str, Any]:
        judged = {rival: self.draw(bearings()) for rival in rivals}
        if self.some(True, False):
            judged[rivals[-1]], judged["others"] = judged[rivals[-1]], self.draw(chances())
            del judged[rivals[0]]
        return judged

    def _note(self, name: str) -> str:
        bearing = self._judged(self.rivals[self.some(*self.rivals)]) if self.some(True, True, False) else None
        return self.add(
            "evidence",
            name,
            source=self.some(*self.sources),
            credibility=self.count(1, 6),
            bearing=bearing,
            marks=self.draw(st.lists(marks(), max_size=2)),
            measurements=self.some(None, [self.measurements[-1]]),
        )

    def _calculations(self) -> None:
        made: list[str] = []
        rivals = [rival for named in self.rivals.values() for rival in named]
        for n in range(self.count(0, 2)):
            inputs = {
                "travel": f"measurements/{self.some(*self.measurements)}",
                "arc": {"value": 30, "reason": "as drawn"},
            }
            if made:
                inputs["radius"] = f"calculations/{self.some(*made)}#radius"
            observed = {"output": "radius", "measurement": self.measurements[0]} if self.some(True, False) else None
            made.append(
                self.add(
                    "calculation",
                    f"track-{n}",
                    calculator="drum-track",
                    hypotheses=[self.some(*rivals)],
                    inputs=inputs,
                    observed=observed,
                )
            )

    def _lookouts_and_words(self) -> None:
        if self.some(True, False):
            question = self.some(*self.rivals)
            seen = {rival: self.count(1, 9) / 10 for rival in self.rivals[question]}
            unseen = {rival: round(1 - chance, 1) for rival, chance in seen.items()}
            self.add("lookout", "inside", question=question, cost="a letter", outcomes={"seen": seen, "unseen": unseen})
        for n in range(self.count(0, 2)):
            about = self.some(*(f"{folder}/{name}" for folder, name in self.ledger if not folder.startswith("repl")))
            self.add(
                "reply",
                f"reply-{n}",
                about=about,
                stance="doubt",
                date="2031-05-17",
                consent=True,
                withdrawn=self.some(None, "The reader asked for it."),
                answer=self.some(None, "We looked again."),
            )
        if self.some(True, False):
            grounds = [f"measurements/{self.measurements[0]}", f"hypotheses/{self.rivals['question-0'][0]}"]
            self.add("decision", "drum-size", choice=self.draw(prose()), grounds=grounds, taken="2031-06")


@st.composite
def ledgers(draw: st.DrawFn) -> Ledger:
    """A small ledger without a fault: {(folder, name): (front, body)}."""
    return _Maker(draw).make()
