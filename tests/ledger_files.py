"""Entry files for tests of the store: a small ledger by hand, and a large one by rule. All of it is invented."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

SMALL = {
    "investigation/gearbox": """---
kind: investigation
title: An invented gearbox
by: [The bench]
subject: a gearbox nobody will open
invented: true
---
All of it is invented.
""",
    "sources/bench-left": """---
kind: source
title: The gearbox on a bench, from the left
medium: photograph
author: A. Draughtsman
date: 2031-05-17
rights: by leave of the author
reliability: B
---
""",
    "sources/letter": """---
kind: source
title: A letter about the bench
medium: document
author: B. Fitter
date: 2031
rights: by leave of the author
reliability: F
origin: bench-left
---
""",
    "measurements/hub-width": """---
kind: measurement
title: Width of the hub
quantity: 62 ± 3 mm
source: bench-left
credibility: 2
method: scaled from a known bolt
---
""",
    "questions/forks": """---
kind: question
title: What moves the forks?
---
""",
    "hypotheses/drum": """---
kind: hypothesis
title: A drum with grooves
question: forks
prior: 0.6
reason: Most that were built have one.
---
""",
    "hypotheses/face-cam": """---
kind: hypothesis
title: A face cam
question: forks
prior: 0.3
reason: Some were built.
---
""",
    "evidence/sleeve-groove": """---
kind: evidence
title: A groove runs round the sleeve
source: bench-left
credibility: 2
marks:
  - {label: groove, box: [812, 440, 1010, 655]}
bearing:
  drum: 0.9
  face-cam: likely
---
The groove is bright on both flanks — 3 µm at most.
""",
    "evidence/hiss": """---
kind: evidence
title: It hisses when it shifts
source: sources/letter
credibility: 5
---
""",
    "replies/reader-one": """---
kind: reply
title: It may be a chain
about: questions/forks
stance: doubt
name: C. Reader
date: 2031-06-01
consent: true
---
I saw a chain with my own eyes, says C. Reader.
""",
}


def put(entries: Path, files: Mapping[str, str]) -> Path:
    """Write files by ref below `entries`; return that folder."""
    for ref, text in files.items():
        path = entries / f"{ref}.md"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(text.encode())
    return entries


def taken(entries: Path) -> dict[str, bytes]:
    """Return every file below `entries` with its bytes."""
    return {
        path.relative_to(entries).as_posix(): path.read_bytes() for path in sorted(entries.rglob("*")) if path.is_file()
    }


def large(count: int) -> dict[str, str]:
    """Return a ledger of about `count` entries without a fault: mostly notes, with sources, measurements and rivals."""
    files = dict(SMALL)
    questions = max(1, count // 200)
    for number in range(questions):
        files[f"questions/forks-{number}"] = SMALL["questions/forks"]
        for rival, prior in (("drum", 0.5), ("face-cam", 0.3), ("rods", 0.1)):
            files[f"hypotheses/{rival}-{number}"] = (
                f"---\nkind: hypothesis\ntitle: Number {number}, {rival}\nquestion: forks-{number}\nprior: {prior}\n"
                f"reason: Invented number {number}.\n---\nSome words on {rival} number {number}.\n"
            )
    sources = max(1, count // 20)
    for number in range(sources):
        files[f"sources/photograph-{number}"] = SMALL["sources/bench-left"].replace("from the left", f"view {number}")
    number = 0
    while len(files) < count:
        source, question = number % sources, number % questions
        if number % 5 == 0:
            files[f"measurements/width-{number}"] = (
                f"---\nkind: measurement\ntitle: Width number {number}\nquantity: {number % 90 + 20} ± 3 mm\n"
                f"source: photograph-{source}\ncredibility: 3\nmethod: scaled from a known bolt\n---\n"
            )
        else:
            files[f"evidence/note-{number}"] = (
                f"---\nkind: evidence\ntitle: Note number {number}\nsource: photograph-{source}\n"
                f"credibility: {number % 6 + 1}\n"
                f"marks:\n  - {{label: mark {number}, box: [12, 44, 101, {number + 60}]}}\n"
                f"bearing:\n  drum-{question}: 0.9\n  face-cam-{question}: very likely\n  others: 0.2..0.6\n---\n"
                f"The groove number {number} is bright on both flanks, as a fork shoe would leave it.\n"
            )
        number += 1
    return files
