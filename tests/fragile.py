"""A small invented ledger in which all hangs together: retellings, measurements, calculations, linked questions."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

from ledger.casebook.opening import STORE, open_casebook
from ledger.casebook.values import Casebook
from ledger.entries.withdrawing import withdrawn_text
from ledger.entries.writing import write
from ledger.store.engine import open_store
from ledger.store.posting import post
from tests.ledger_files import put
from tests.toys import TOYS

COUNT = 400


def _source(reliability: str, origin: str | None = None) -> dict[str, Any]:
    said = {"kind": "source", "title": "A source", "medium": "photograph", "author": "A. Draughtsman", "date": 2031}
    return {**said, "rights": "by leave", "reliability": reliability, **({"origin": origin} if origin else {})}


def _rival(question: str, prior: float, **more: Any) -> dict[str, Any]:
    return {
        "kind": "hypothesis",
        "title": "A rival",
        "question": question,
        "prior": prior,
        "reason": "Invented.",
        **more,
    }


def _note(source: str, credibility: int, bearing: dict[str, Any], **more: Any) -> dict[str, Any]:
    said = {"kind": "evidence", "title": "A note", "source": source, "credibility": credibility, "bearing": bearing}
    return {**said, **more}


def _measurement(quantity: str, source: str) -> dict[str, Any]:
    said = {"kind": "measurement", "title": "A measurement", "quantity": quantity, "source": source}
    return {**said, "credibility": 2, "method": "scaled from a known bolt"}


def _calculation(calculator: str, hypotheses: list[str], inputs: dict[str, Any], **more: Any) -> dict[str, Any]:
    said = {"kind": "calculation", "title": "A calculation", "calculator": calculator, "hypotheses": hypotheses}
    return {**said, "inputs": inputs, **more}


def _value(value: Any) -> dict[str, Any]:
    return {"value": value, "reason": "Invented."}


def fronts() -> dict[str, dict[str, Any]]:
    """Return the front matter of every entry by ref."""
    return {
        "investigation/box": {
            "kind": "investigation",
            "title": "An invented box",
            "by": ["The bench"],
            "subject": "a box nobody will open",
            "invented": True,
        },
        "sources/first": _source("B"),
        "sources/second": _source("C", "first"),
        "sources/third": _source("D", "second"),
        "sources/other": _source("A"),
        "sources/depth": _source("A"),
        "sources/idle": _source("A"),
        "questions/forks": {"kind": "question", "title": "What moves the forks?"},
        "questions/oil": {"kind": "question", "title": "How does the oil get there?"},
        "questions/lid": {"kind": "question", "title": "What holds the lid?", "none-of-these": 0.2},
        "hypotheses/drum": _rival("forks", 0.4, favours={"pipe": 3.0}, predicts={"gap": "90..120 mm"}),
        "hypotheses/cam": _rival("forks", 0.3, **{"rules-out": ["splash"]}),
        "hypotheses/rods": _rival("forks", 0.2, predicts={"gap": "80 ± 30 mm"}),
        "hypotheses/pipe": _rival("oil", 0.5),
        "hypotheses/splash": _rival("oil", 0.4),
        "hypotheses/screws": _rival("lid", 0.4),
        "hypotheses/glue": _rival("lid", 0.4),
        "measurements/width": _measurement("10 ± 1 mm", "first"),
        "measurements/height": _measurement("20 ± 2 mm", "other"),
        "measurements/depth": _measurement("1 ± 0.1 mm", "depth"),
        "measurements/gap": _measurement("100 ± 8 mm", "second"),
        "evidence/groove": _note("first", 2, {"drum": 0.8, "cam": 0.5, "rods": "0.2..0.4"}),
        "evidence/boss": _note("first", 1, {"drum": "likely", "others": 0.4, "pipe": 0.7, "splash": 0.5}),
        "evidence/told": _note("second", 3, {"cam": 0.8, "others": 0.3}),
        "evidence/retold": _note("third", 2, {"rods": 0.7, "others": 0.5}),
        "evidence/hiss": _note("third", 3, {"pipe": 0.8, "splash": 0.3}),
        "evidence/ring": _note("other", 2, {"drum": 0.4, "cam": 0.7, "rods": {"would-show": 0.6}}),
        "evidence/drops": _note("other", 2, {"pipe": 0.4, "splash": 0.8}),
        "evidence/bolt": _note("other", 2, {"screws": 0.8, "glue": 0.3}),
        "evidence/uncounted": _note("first", 2, {"drum": 0.9, "others": 0.1}, uncounted="Weighed elsewhere."),
        "calculations/a-width": _calculation(
            "plate",
            ["drum"],
            {"width": "measurements/width", "height": _value("21 ± 3 mm")},
            criteria=[{"output": "area", "at-most": "215 ± 20 mm²"}],
        ),
        "calculations/b-on-a": _calculation(
            "plate",
            ["drum", "cam"],
            {"width": "calculations/a-width#edge", "height": "measurements/height"},
            criteria=[{"output": "area", "at-least": "190 ± 20 mm²"}],
        ),
        "calculations/c-alone": _calculation(
            "plate",
            ["drum", "pipe"],
            {"width": _value("30 ± 4 mm"), "height": {"chosen": "1..3 mm", "reason": "The maker's choice."}},
            criteria=[{"output": "area", "at-most": "33 ± 4 mm²"}],
        ),
        "calculations/d-gap": _calculation(
            "plate",
            ["cam"],
            {"width": _value("105 ± 9 mm"), "height": "measurements/depth"},
            observed={"output": "edge", "measurement": "gap"},
        ),
        "calculations/e-gap": _calculation(
            "plate",
            ["drum"],
            {"width": _value("95 ± 9 mm"), "height": "measurements/height"},
            observed={"output": "edge", "measurement": "gap"},
        ),
        "calculations/f-idle": _calculation("plate", [], {"width": _value("1 mm"), "height": _value("1 mm")}),
    }


def lay_out(root: Path) -> Path:
    """Post the ledger into a folder; return the folder."""
    put(root / "entries", {ref: write(front, "Invented.\n") for ref, front in fronts().items()})
    post(open_store(root / STORE), root / "entries", "2031-05-17T09:00:00Z")
    return root


def opened(root: Path) -> Casebook:
    """Return the casebook of such a ledger."""
    return open_casebook(root, register=TOYS, count=COUNT)


def withdrawn(root: Path, ref: str, to: Path) -> Casebook:
    """Return the casebook of a copy of the ledger in which one entry was withdrawn and posted."""
    shutil.copytree(root, to)
    path = to / "entries" / f"{ref}.md"
    path.write_text(withdrawn_text(path.read_text("utf-8"), "Not what it seemed."), "utf-8")
    post(open_store(to / STORE), to / "entries", "2031-06-01T09:00:00Z")
    return opened(to)
