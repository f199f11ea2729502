"""A hand-made casebook with invented content: two questions, five hypotheses, eight notes, four calculations."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from math import log10
from typing import Any

from ledger.calculators.contract import Calculator, Choice, Number, Output, Rows, Text, Truth, Whole
from ledger.calculators.results import Bound, Kept, Outcome, Result
from ledger.casebook.values import Casebook, Edition, Finding, Item
from ledger.entries.models import FOLDERS, MODELS
from ledger.entries.references import references
from ledger.publishing import pages
from ledger.quantities.summary import Summary
from ledger.weighing.values import NONE, Account, AccountLine, Standing, Weighing

DRUM, CAM, RAMS = "hypotheses/drum", "hypotheses/face-cam", "hypotheses/rams"
IDLER, SLEEVE = "hypotheses/reverse-idler", "hypotheses/split-sleeve"
FORKS, REVERSE = "questions/forks", "questions/reverse"

AXIAL = Calculator(
    name="axial-length",
    title="Length of parts in a row",
    purpose="Adds the lengths and gaps of parts that stand in a row on one shaft.",
    inputs=(
        Rows("layout", "Parts in order", (Text("part", "Part"), Number("length", "Length", "mm", 0)), least=2),
        Number("play", "Play in all", "mm", 0, 20, default="0.4 mm"),
    ),
    outputs=(Output("length", "Length in all", "mm"),),
    formula="L = sum of the lengths\n  + play",
    sources=("Plain addition; the spread follows from the parts' spreads.",),
    assumptions=("The parts touch or keep the stated play.",),
    cautions=("A shaft that turns draws in cloth and fingers: cover a model before it runs.",),
    compute=lambda **raw: {"length": raw["play"]},
)
STATES = Calculator(
    name="shift-states",
    title="Positions a shifting drum needs",
    purpose="Counts the positions of a drum that has to hold every gear and neutral in turn.",
    inputs=(
        Whole("gears", "Gears", 1, 16),
        Number("angle", "Angle between positions", "deg", 5, 120, above=True),
        Choice("order", "Order of the gears", ("in a row", "free"), default="in a row"),
        Truth("neutral", "Neutral at one end", default=True),
    ),
    outputs=(
        Output("positions", "Positions", form="whole"),
        Output("sweep", "Angle swept in all", "deg"),
        Output("fits", "Fits into one turn", form="truth"),
        Output("table", "Positions in order", form="rows"),
    ),
    formula="n = gears + 1; sweep = (n - 1) x angle",
    sources=("Counting; see the table it prints.",),
    assumptions=("One position for each gear and one for neutral.",),
    cautions=("Detent springs hold energy: wear eye protection when you open one.",),
    compute=lambda **raw: {},
)
TORQUE = Calculator(
    name="torque-headroom",
    title="Torque left over at the shifting shaft",
    purpose="Compares the torque a motor gives with what the shift needs.",
    inputs=(Number("needed", "Torque needed", "N*m", 0), Number("given", "Torque given", "N*m", 0)),
    outputs=(Output("headroom", "Headroom", "N*m"),),
    formula="H = given - needed",
    sources=("Definition of headroom.",),
    assumptions=("Both torques act at the same shaft.",),
    cautions=("For understanding and models only; rates no part that carries people.",),
    compute=lambda **raw: {},
)
REGISTER = {one.name: one for one in (AXIAL, STATES, TORQUE)}

FRONTS: dict[str, dict[str, Any]] = {
    "investigation/box": {
        "title": "The sealed gearbox of the Lindfell hill tractor",
        "by": ["A. Ledgerkeeper"],
        "subject": "A seven-speed gearbox that its invented maker rivets shut. How does one lever move four forks?",
        "invented": True,
        "licence": "CC BY 4.0",
        "cautions": ["Turning shafts draw in cloth and fingers; a model gets a cover before it runs."],
    },
    "sources/bench-left": {
        "title": "Photograph of the box on a bench, from the left",
        "medium": "photograph",
        "author": "M. Varga",
        "date": "2031-04",
        "rights": "own photograph",
        "publishable": True,
        "reliability": "B",
        "file": "pictures/bench-left.jpg",
    },
    "sources/bench-right": {
        "title": "Photograph of the box on a bench, from the right",
        "medium": "photograph",
        "author": "M. Varga",
        "date": "2031-04",
        "rights": "own photograph",
        "reliability": "B",
    },
    "sources/handbook": {
        "title": "Driver's handbook, second printing",
        "medium": "book",
        "author": "the invented maker",
        "date": "2029",
        "rights": "quoted in short",
        "reliability": "A",
        "locator": "pages 41 to 44",
    },
    "sources/foreman": {
        "title": "A retired foreman remembers the assembly line",
        "medium": "conversation",
        "author": "a foreman",
        "date": "2031-06-11",
        "rights": "told with leave to repeat it",
        "reliability": "D",
    },
    "sources/club-letter": {
        "title": "A letter in a club's newsletter that retells the foreman",
        "medium": "document",
        "author": "an owner",
        "date": "2031-08",
        "rights": "quoted in short",
        "reliability": "E",
        "origin": "foreman",
        "locator": "https://club.example/newsletter/2031-08",
    },
    "precedents/drum-motorcycle": {
        "title": "Motorcycle boxes with a shifting drum",
        "standing": "in-use",
        "from": "1920",
        "traits": ["one drum moves all forks", "gears in a row only"],
        "example_of": ["drum"],
    },
    "precedents/cam-patent": {
        "title": "A face cam that drives four levers",
        "standing": "patent-only",
        "from": "1931",
        "to": "1948",
        "traits": ["flat cam", "long levers"],
        "example_of": ["face-cam"],
    },
    "questions/forks": {"title": "What moves the forks?", "none_of_these": 0.1},
    "questions/reverse": {"title": "How is reverse engaged?", "none_of_these": 0.1},
    "hypotheses/drum": {
        "title": "A turning drum with four tracks",
        "question": "forks",
        "prior": 0.45,
        "precedents": ["drum-motorcycle"],
    },
    "hypotheses/face-cam": {
        "title": "A flat face cam with levers",
        "question": "forks",
        "prior": 0.2,
        "precedents": ["cam-patent"],
        "reason": "Only patented, as far as we know.",
        "predicts": {"groove-pitch": "8..40 mm"},
    },
    "hypotheses/rams": {
        "title": "Four small hydraulic rams",
        "question": "forks",
        "prior": 0.25,
        "reason": "The tractor has a pump; common practice, no source.",
    },
    "hypotheses/reverse-idler": {
        "title": "A sliding idler",
        "question": "reverse",
        "prior": 0.6,
        "reason": "The usual way; common practice, no source.",
    },
    "hypotheses/split-sleeve": {
        "title": "A split sleeve that turns back",
        "question": "reverse",
        "prior": 0.3,
        "reason": "It would explain the double click.",
    },
    "measurements/hub-width": {
        "title": "Width of the boss over the shifting shaft",
        "quantity": "62 ± 3 mm",
        "source": "bench-left",
        "credibility": "2",
        "method": "Scaled from the bolt circle, which the handbook prints",
        "marks": [{"label": "boss", "line": ((212.0, 440.0), (431.0, 442.0))}],
    },
    "measurements/groove-pitch": {
        "title": "Pitch of the two visible grooves",
        "quantity": "17.5 ± 1.5 mm",
        "source": "bench-right",
        "credibility": "3",
        "method": "Scaled from the same bolt circle",
    },
    "evidence/sleeve-groove": {
        "title": "A groove runs round the sleeve between the third and fifth gears",
        "source": "bench-left",
        "credibility": "2",
        "marks": [{"label": "groove", "box": (812.0, 440.0, 1010.0, 655.0)}],
        "bearing": {"drum": "0.9", "face-cam": "very likely", "others": "0.2..0.6"},
    },
    "evidence/round-boss": {
        "title": "The cover bulges in a half-round boss as long as the sleeve row",
        "source": "bench-left",
        "credibility": "1",
        "bearing": {"drum": "very likely", "face-cam": 0.15, "rams": 0.2},
        "measurements": ["hub-width"],
    },
    "evidence/no-pipes": {
        "title": "No pipe or hose reaches the cover",
        "source": "bench-right",
        "credibility": "2",
        "bearing": {"drum": 0.9, "face-cam": 0.9, "rams": {"would-show": 0.8}},
    },
    "evidence/row-order": {
        "title": "The handbook lets the driver change only to the next gear",
        "source": "handbook",
        "credibility": "1",
        "marks": [{"label": "rule", "page": 42, "clause": "3"}],
        "bearing": {"drum": 0.95, "face-cam": 0.6, "others": 0.2},
    },
    "evidence/foreman-drum": {
        "title": "The foreman remembers 'a drum like a cotton reel'",
        "source": "foreman",
        "credibility": "3",
        "bearing": {"drum": "likely", "others": "unlikely"},
    },
    "evidence/letter-drum": {
        "title": "The letter speaks of a reel with tracks",
        "source": "club-letter",
        "credibility": "4",
        "bearing": {"drum": 0.7, "others": 0.4},
    },
    "evidence/double-click": {
        "title": "Reverse engages with two clicks",
        "source": "foreman",
        "credibility": "3",
        "bearing": {"reverse-idler": 0.3, "split-sleeve": 0.8},
    },
    "evidence/idler-pin": {
        "title": "A pin of idler size stands beside the lay shaft",
        "source": "bench-right",
        "credibility": "2",
        "bearing": {"reverse-idler": 0.85, "split-sleeve": 0.3},
    },
    "evidence/pitch-note": {
        "title": "The grooves stand a fork's pitch apart",
        "source": "bench-right",
        "credibility": "3",
        "bearing": {"drum": 0.8, "others": 0.3},
        "measurements": ["groove-pitch"],
        "uncounted": "The pitch is weighed as a prediction already.",
    },
    "calculations/drum-length": {
        "title": "How long would the drum be?",
        "calculator": "axial-length",
        "hypotheses": ["drum"],
        "inputs": {
            "layout": {
                "rows": [{"part": "bearing land", "length": "7..9 mm"}, {"part": "four tracks", "length": "46 ± 2 mm"}],
                "reason": "Usual sizes for forks of this width; common practice, no source.",
            },
            "play": {"value": "0.4 mm", "reason": "Usual."},
        },
        "criteria": [{"output": "length", "at-most": "62 ± 3 mm"}],
    },
    "calculations/drum-states": {
        "title": "Does the drum find room for every position?",
        "calculator": "shift-states",
        "hypotheses": ["drum"],
        "inputs": {
            "gears": {"value": 7, "reason": "The handbook lists seven."},
            "angle": {"chosen": "30..60 deg", "reason": "The maker's free choice."},
        },
        "criteria": [{"output": "fits", "holds": True}],
    },
    "calculations/cam-length": {
        "title": "How much width does the face cam take?",
        "calculator": "axial-length",
        "hypotheses": ["face-cam"],
        "inputs": {
            "layout": {
                "rows": [{"part": "cam", "length": "12..20 mm"}, {"part": "levers", "length": "18 ± 2 mm"}],
                "reason": "Sizes from the patent's drawing.",
            },
            "play": "calculations/drum-length#length",
        },
        "criteria": [{"output": "length", "at-most": "62 ± 3 mm"}],
    },
    "calculations/rams-torque": {
        "title": "Is there torque for the rams' valve?",
        "calculator": "torque-headroom",
        "hypotheses": ["rams"],
        "inputs": {"needed": {"value": "4 N*m", "reason": "Guess."}, "given": "measurements/hub-width"},
    },
    "lookouts/cover-inside": {
        "title": "A photograph of the inside of the cover",
        "question": "forks",
        "cost": "A letter to a scrap yard",
        "outcomes": {"round-tracks": {"drum": 0.8, "others": 0.1}, "flat-plate": {"face-cam": 0.7, "others": 0.1}},
    },
    "decisions/model-drum": {
        "title": "The model gets a drum",
        "choice": "A drum of 62 mm with four tracks",
        "grounds": ["hypotheses/drum", "measurements/hub-width"],
        "taken": "2031-09-02",
    },
    "replies/reader-doubt": {
        "title": "A reader doubts the groove",
        "about": "evidence/sleeve-groove",
        "stance": "doubt",
        "name": "P. Okafor",
        "date": "2031-09-20",
        "consent": True,
    },
    "replies/held-back": {
        "title": "A letter that must not be printed",
        "about": "evidence/sleeve-groove",
        "stance": "agree",
        "name": "Someone private",
        "date": "2031-09-21",
        "consent": False,
    },
}
GONE: dict[str, dict[str, Any]] = {
    "evidence/paint-line": {
        "title": "A painted line crosses the joint of the cover",
        "source": "bench-left",
        "credibility": "4",
        "bearing": {"drum": 0.5, "others": 0.5},
        "withdrawn": "The line was a scratch in the negative.",
    },
}
BODIES = {
    "investigation/box": "Everything here is invented. One lever moves **four forks**, and the cover is riveted.",
    "questions/forks": "The lever has one rod. Compare [the boss](evidence/round-boss) with "
    "[the width](measurements/hub-width.md).",
    "evidence/sleeve-groove": "The groove is bright on both flanks, as a fork shoe would leave it.\n\n"
    "| flank | look |\n|---|---:|\n| left | bright |\n| right | bright |",
    "evidence/round-boss": "See [the photograph](sources/bench-left), and "
    "[a note that is not there](evidence/nowhere).",
    "calculations/drum-length": "Four tracks side by side:\n\n```\nland | track | track | track | track\n```\n",
    "replies/reader-doubt": "Could the groove be for a snap ring? I have seen *such grooves* on my own.",
    "replies/held-back": "Private words.",
}


def item(ref: str, front: dict[str, Any], body: str | None = None, revisions: int = 1) -> Item:
    """Return an entry as the casebook holds it."""
    folder, name = ref.split("/")
    kind = next(kind for kind, known in FOLDERS.items() if known == folder)
    entry = MODELS[kind].model_validate(
        {"kind": kind, **{key.replace("_", "-"): value for key, value in front.items()}}
    )
    return Item(ref, kind, name, entry, BODIES.get(ref, "") if body is None else body, revisions)


def _weighing(
    question: str,
    confidences: dict[str, tuple[float, float, float, float, float, int]],
    notes: int,
    rest: dict[str, Any],
) -> Weighing:
    standings = tuple(
        Standing(
            rival,
            prior,
            prior,
            confidence,
            low,
            confidence if low is not None else None,
            high,
            first,
            judged,
            notes,
            rival in rest["tested"],
            2 * judged >= notes,
        )
        for rival, (prior, confidence, low, high, first, judged) in confidences.items()
    )
    one, other = standings[0], standings[1]
    total = 10 * log10(one.confidence / other.confidence)
    lines = [*rest["lines"]]
    lines.append(AccountLine("links", "", total - sum(line.decibans for line in lines)))
    return Weighing(
        question,
        standings,
        one.rival if one.may_lead and one.confidence > 0.4 else None,
        Account(one.rival, other.rival, total, tuple(lines)),
        rest["weights"],
        rest["soundness"],
    )


def _results() -> dict[str, Result]:
    def bound(name: str, label: str, unit: str, ground: str, stated: str, **more: Any) -> Bound:
        return Bound(
            name,
            label,
            unit,
            ground,
            more.get("ref"),
            more.get("output"),
            stated,
            more.get("reason"),
            more.get("summary"),
            more.get("rows", ()),
        )

    def exact(number: float) -> Summary:
        return Summary(number, 0.0, number, number)

    tracks = ({"part": "bearing land", "length": "7..9 mm"}, {"part": "four tracks", "length": "46 ± 2 mm"})
    table = ({"position": 0, "gear": "neutral", "angle": 0.0}, {"position": 1, "gear": "first", "angle": 45.0})
    return {
        "calculations/drum-length": Result(
            "calculations/drum-length",
            "axial-length",
            (
                bound("layout", "Parts in order", "", "rows", "", rows=tracks, reason="Usual sizes; no source."),
                bound("play", "Play in all", "mm", "value", "0.4 mm", summary=exact(0.4), reason="Usual."),
            ),
            (Outcome("length", "Length in all", "mm", "number", Summary(54.4, 1.2, 52.1, 56.6)),),
            (Kept("length", "at most 62 ± 3 mm", 0.9995),),
            {},
        ),
        "calculations/drum-states": Result(
            "calculations/drum-states",
            "shift-states",
            (
                bound("gears", "Gears", "", "value", "7", summary=exact(7.0), reason="The handbook lists seven."),
                bound("angle", "Angle between positions", "deg", "chosen", "30..60 deg", reason="The maker chose."),
            ),
            (
                Outcome("positions", "Positions", "", "whole", Summary(8.0, 0.0, 8.0, 8.0)),
                Outcome("sweep", "Angle swept in all", "deg", "number", Summary(315.0, 8.0, 300.0, 330.0)),
                Outcome("fits", "Fits into one turn", "", "truth", chance=0.93),
                Outcome("table", "Positions in order", "", "rows", value=table),
            ),
            (Kept("fits", "must hold", 0.93),),
            {"angle": "45 deg"},
        ),
        "calculations/cam-length": Result(
            "calculations/cam-length",
            "axial-length",
            (
                bound("layout", "Parts in order", "", "rows", "", rows=tracks[:1], reason="From the patent's drawing."),
                bound(
                    "play", "Play in all", "mm", "calculation", "calculations/drum-length#length",
                    ref="calculations/drum-length", output="length", summary=Summary(54.4, 1.2, 52.1, 56.6),
                ),
            ),
            (Outcome("length", "Length in all", "mm", "number", Summary(88.2, 3.4, 81.7, 94.9)),),
            (Kept("length", "at most 62 ± 3 mm", 0.0),),
            {},
        ),
    }  # fmt: skip


def _weights() -> dict[str, dict[str, float]]:
    return {
        "evidence/sleeve-groove": {DRUM: 2.1, RAMS: -2.9, CAM: 0.6, NONE: -0.4},
        "evidence/round-boss": {DRUM: 6.4, RAMS: -4.6, CAM: -5.4, NONE: -0.9},
        "evidence/no-pipes": {DRUM: 1.8, RAMS: -6.9, CAM: 1.6, NONE: -0.2},
        "evidence/row-order": {DRUM: 4.2, RAMS: -5.2, CAM: 0.03},
        "evidence/foreman-drum": {DRUM: 1.1, RAMS: -0.8, CAM: -0.8, NONE: -0.1},
        "evidence/letter-drum": {DRUM: 0.3, RAMS: -0.2, CAM: -0.2, NONE: 0.0},
        "calculations/cam-length": {DRUM: 0.2, CAM: -0.24, RAMS: 0.2, NONE: 0.1},
        "sources/bench-left": {DRUM: 7.7, RAMS: -6.1, CAM: -5.0, NONE: -1.1},
        "measurements/groove-pitch": {DRUM: 1.4, CAM: -1.9, RAMS: -0.7, NONE: -0.3},
    }


def casebook() -> Casebook:
    """Return the casebook, the same each time."""
    entries = {
        ref: item(ref, FRONTS[ref], revisions=3 if ref == "evidence/sleeve-groove" else 1) for ref in sorted(FRONTS)
    }
    used: dict[str, set[str]] = {}
    for ref, one in entries.items():
        for _, target in references(one.entry):
            used.setdefault(target, set()).add(ref)
    forks = _weighing(
        FORKS,
        {
            DRUM: (0.45, 0.78, 0.61, 0.89, 0.987, 6),
            NONE: (0.1, 0.12, 0.06, 0.2, 0.012, 6),
            CAM: (0.2, 0.07, 0.02, 0.15, 0.001, 5),
            RAMS: (0.25, 0.03, 0.0004, 0.09, 0.0, 2),
        },
        6,
        {
            "tested": {DRUM, CAM},
            "lines": [
                AccountLine("prior", FORKS, 6.532),
                AccountLine("origin", "sources/bench-left", 3.914),
                AccountLine("origin", "sources/handbook", 0.77),
                AccountLine("origin", "sources/bench-right", -1.206),
                AccountLine("prediction", "measurements/groove-pitch", 0.449),
                AccountLine("feasibility", DRUM, -0.306),
            ],
            "weights": _weights(),
            "soundness": {
                "sources/bench-left": 0.91,
                "sources/bench-right": 0.89,
                "sources/handbook": 0.97,
                "sources/foreman": 0.58,
            },
        },
    )
    reverse = _weighing(
        REVERSE,
        {
            IDLER: (0.6, 0.52, 0.3, 0.74, 0.61, 2),
            SLEEVE: (0.3, 0.38, 0.17, 0.6, 0.36, 2),
            NONE: (0.1, 0.1, 0.05, 0.17, 0.03, 2),
        },
        2,
        {
            "tested": set(),
            "lines": [AccountLine("prior", REVERSE, 3.0103), AccountLine("origin", "sources/foreman", -1.4)],
            "weights": {
                "evidence/double-click": {IDLER: -1.8, SLEEVE: 2.2, NONE: 0.1},
                "evidence/idler-pin": {IDLER: 2.6, SLEEVE: -2.4, NONE: -0.3},
            },
            "soundness": {"sources/foreman": 0.61, "sources/bench-right": 0.9},
        },
    )
    return Casebook(
        entries=entries,
        withdrawn={ref: item(ref, front) for ref, front in GONE.items()},
        results=_results(),
        refused={"calculations/rams-torque": "calculations/rams-torque: `given` is in mm; a torque in N*m is expected"},
        weighings={FORKS: forks, REVERSE: reverse},
        feasibility={DRUM: 0.9296, CAM: 0.0},
        used_by={ref: tuple(sorted(users)) for ref, users in sorted(used.items())},
        soundness={"A": 0.95, "B": 0.85, "C": 0.7, "D": 0.55, "E": 0.35, "F": 0.5},
        tracking={"1": 0.95, "2": 0.85, "3": 0.65, "4": 0.45, "5": 0.25, "6": 0.5},
        findings=(
            Finding(
                (RAMS, FORKS), "hypotheses/rams is judged in 2 of 6 notes, too few to lead: judge it in the others."
            ),
            Finding(
                ("calculations/rams-torque",), "calculations/rams-torque: `given` is in mm; a torque in N*m is expected"
            ),
        ),
        twice=(),
        edition=Edition(4, "9f2c41d07ab3e58860cc17d2b94f3ea1558d7706e2c94b1fa0633d5c8e7b2f19"),
    )


def with_body(body: str, ref: str = "evidence/sleeve-groove", title: str | None = None) -> Casebook:
    """Return the casebook with one entry's body, and its title, replaced."""
    made = casebook()
    old = made.entries[ref]
    entry = old.entry if title is None else old.entry.model_copy(update={"title": title})
    return replace(made, entries={**made.entries, ref: replace(old, body=body, entry=entry)})


def pages_of(made: Casebook, register: Mapping[str, Calculator], **given: Any) -> dict[str, str]:
    """Return every page of a casebook as Markdown by path; given is what `pages.makers` takes besides."""
    return {path: maker() for path, maker in pages.makers(made, register, **given).items()}
