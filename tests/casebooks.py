"""A hand-made casebook of invented content, with results and confidences made up to go with it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from math import log10
from typing import Any

from ledger.calculators.contract import Calculator
from ledger.calculators.results import Bound, Kept, Outcome, Result
from ledger.casebook.items import Edition, Finding, Item
from ledger.casebook.values import Casebook
from ledger.entries.models import FOLDERS, MODELS
from ledger.entries.references import references
from ledger.publishing import pages
from ledger.quantities.summary import Summary
from ledger.weighing.values import NONE, Account, AccountLine, Standing, Weighing
from tests.casebook_entries import BODIES, FRONTS, GONE

DRUM, CAM, RAMS = "hypotheses/drum", "hypotheses/face-cam", "hypotheses/rams"
IDLER, SLEEVE = "hypotheses/reverse-idler", "hypotheses/split-sleeve"
FORKS, REVERSE = "questions/forks", "questions/reverse"


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
