"""A ledger whose past is known by hand: two rivals, seven postings, an answer. All of it is invented.

The source is sound with chance 0.8, its notes track the truth with 0.9. The note `groove` alone makes
c = (0.6 · 0.9 + 0.3 · 0.3) / 0.9 = 0.7; A = 0.88, 0.34, 0.7; Σ π A = 0.7; P = 0.8 A + 0.14 = 0.844, 0.412, 0.7.
"""

from __future__ import annotations

import shutil
from pathlib import Path

from ledger.store.engine import Store, open_store
from ledger.store.posting import post
from tests.ledger_files import put

FORKS, DRUM, CAM, NONE = "questions/forks", "hypotheses/drum", "hypotheses/face-cam", "none-of-these"
NOTED = {DRUM: 0.5064 / 0.7, CAM: 0.1236 / 0.7, NONE: 0.1}
FIRST_DAYS = {
    "2031-05-01": {DRUM: 0.6, CAM: 0.3, NONE: 0.1},
    "2031-05-10": NOTED,
    # No drum of that area: its feasibility is the chance 0.05 that the model does not apply.
    "2031-05-20": {DRUM: 0.02532 / 0.21892, CAM: 0.1236 / 0.21892, NONE: 0.07 / 0.21892},
    "2031-06-01": NOTED,
    "2031-06-10": NOTED,
}


def note(title: str, drum: float, cam: float, called: str = "face-cam") -> str:
    """Return an evidence note."""
    return (
        f"---\nkind: evidence\ntitle: {title}\nsource: photo\ncredibility: 1\n"
        f"bearing:\n  drum: {drum}\n  {called}: {cam}\n---\n"
    )


def reply(date: str, said: dict[str, float], name: str | None = None, consent: bool = True) -> str:
    """Return a reader's reply with confidences."""
    named = f"name: {name}\n" if name else ""
    lines = "".join(f"  {rival}: {share}\n" for rival, share in said.items())
    return (
        f"---\nkind: reply\ntitle: What I hold\nabout: questions/forks\nstance: doubt\n{named}date: {date}\n"
        f"consent: {str(consent).lower()}\nconfidences:\n{lines}---\nWords of {name or 'somebody'}, unrepeatable.\n"
    )


def hypothesis(title: str, prior: float, more: str = "") -> str:
    """Return a rival of the question."""
    return f"---\nkind: hypothesis\ntitle: {title}\nquestion: forks\nprior: {prior}\nreason: Invented.\n{more}---\n"


def plate(most: int) -> str:
    """Return a calculation that tests the drum: 100 mm² are at most so many, or not."""
    return (
        "---\nkind: calculation\ntitle: How large the drum is\ncalculator: plate\nhypotheses: [drum]\ninputs:\n"
        "  width: {value: 10 mm, reason: as drawn}\n  height: {value: 10 mm, reason: as drawn}\n"
        f"criteria:\n  - {{output: area, at-most: {most} mm²}}\n---\n"
    )


def question(resolved: str = "") -> str:
    """Return the question, resolved or not."""
    return f"---\nkind: question\ntitle: What moves the forks?\n{resolved}---\n"


ANSWER = "resolved:\n  answer: drum\n  date: 2031-07-01\n  reason: The box was opened.\n  source: photo\n"
POSTINGS: dict[str, dict[str, str | None]] = {
    "2031-05-01T09:00:00Z": {
        "investigation/box": (
            "---\nkind: investigation\ntitle: A closed box\nby: [A. Keeper]\nsubject: a box\ninvented: true\n"
            "reliability: {A: 0.8}\ncredibility: {1: 0.9}\n---\n"
        ),
        "sources/photo": (
            "---\nkind: source\ntitle: A photograph\nmedium: photograph\nauthor: A. Keeper\ndate: 2031-04\n"
            "rights: own\nreliability: A\n---\n"
        ),
        "questions/forks": question(),
        "hypotheses/drum": hypothesis("A drum", 0.6),
        "hypotheses/cam": hypothesis("A face cam", 0.3),
    },
    "2031-05-10T09:00:00Z": {"evidence/groove": note("A groove", 0.9, 0.3, "cam")},
    "2031-05-20T09:00:00Z": {"calculations/size": plate(50)},
    "2031-06-01T09:00:00Z": {
        "calculations/size": plate(200),
        "hypotheses/cam": None,
        "hypotheses/face-cam": hypothesis("A face cam", 0.3, "formerly: cam\n"),
        "evidence/groove": note("A groove", 0.9, 0.3),
    },
    "2031-06-10T09:00:00Z": {
        "replies/early": reply("2031-05-15", {"drum": 0.1, "face-cam": 0.8, NONE: 0.1}, "B. Reader"),
        "replies/late": reply("2031-06-05", {"drum": 0.5, "face-cam": 0.3, NONE: 0.2}, "B.  reader"),
        "replies/nobody": reply("2031-06-02", {"drum": 0, "face-cam": 1}),
        "replies/held": reply("2031-06", {"drum": 0.6, "face-cam": 0.4}, "C. Hidden", consent=False),
        "replies/own": reply("2031-06-03", {"drum": 0.8, "face-cam": 0.1, NONE: 0.1}, "A. Keeper"),
    },
    "2031-07-01T08:00:00Z": {"evidence/leak": note("The box is being opened", 0.99, 0.01)},
    "2031-07-02T09:00:00Z": {
        "evidence/opened": note("The box lies open", 0.99, 0.01),
        "questions/forks": question(ANSWER),
    },
    "2031-07-05T09:00:00Z": {
        "evidence/after": note("A cam beside the drum", 0.1, 0.9),
        "replies/wise": reply("2031-07-01", {"drum": 1, "face-cam": 0}, "D. Wise"),
    },
}


def lay_out(root: Path, postings: int = len(POSTINGS), copies: bool = False) -> Store:
    """Post so many of the postings into a new ledger; with copies, keep the ledger as it was after each beside it."""
    store = open_store(root / "witness.sqlite")
    entries = root / "entries"
    for number, (at, files) in enumerate(list(POSTINGS.items())[:postings]):
        for ref, text in files.items():
            if text is None:
                (entries / f"{ref}.md").unlink()
        put(entries, {ref: text for ref, text in files.items() if text is not None})
        post(store, entries, at)
        if copies:
            (root / f"state-{number}").mkdir()
            shutil.copy(store.path, root / f"state-{number}" / "witness.sqlite")
    return store
