"""From entries and results to what the weighing takes: one Case a question."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

import numpy as np

from ledger.calculators.bench import Bench
from ledger.casebook.items import Held, Item
from ledger.casebook.recomputing import Parts
from ledger.entries.models import (
    NONE_OF_THESE,
    OTHERS,
    Calculation,
    Evidence,
    Hypothesis,
    Measurement,
    Question,
    Source,
)
from ledger.entries.parts import Absence, Bearing, Bearings
from ledger.errors import WeighingRefused
from ledger.quantities.chance import Chance
from ledger.quantities.density import agreement, overlap
from ledger.quantities.notation import Quantity
from ledger.quantities.units import convert
from ledger.weighing.grades import tracking
from ledger.weighing.values import Case, Feasibility, Link, Note, Prediction, Stated


@dataclass(frozen=True)
class Ground:
    """What cases are made from: standing entries, chances by grade, draws of outputs and chances that criteria hold.

    grades      by letter and digit, the ranges that soundness and tracking are the middles of
    predicted   by calculation ref, the draws of its observed output and their unit
    holds       by hypothesis ref, in which draws all its criteria hold
    bench       of all calculations, for whoever asks what others would say
    known       by question and rival, the factor that the known answers of linked questions come to
    doubt       chance that a model does not apply, where a calculation states none
    parts       feasibilities by fewer calculations than there are, worked out when asked for
    """

    entries: Mapping[str, Item]
    soundness: Mapping[str, float]
    tracking: Mapping[str, float]
    grades: Mapping[str, Chance]
    predicted: Mapping[str, tuple[np.ndarray, str]]
    holds: Mapping[str, Held]
    bench: Bench
    doubt: Chance
    parts: Parts | None = None
    known: Mapping[tuple[str, str], float] = field(default_factory=dict)

    def rivals(self, question: str) -> dict[str, Hypothesis]:
        """Return the standing hypotheses of a question by ref."""
        return {
            ref: item.entry
            for ref, item in self.entries.items()
            if isinstance(item.entry, Hypothesis) and item.entry.question == question
        }

    def origin(self, source: str) -> tuple[str, tuple[str, ...]]:
        """Return the source at the end of a chain of retellings, and the grade of each retelling on the way."""
        retellings: list[str] = []
        while True:
            entry = self.entries[source].entry
            assert isinstance(entry, Source)
            if entry.origin is None or entry.origin not in self.entries:
                return source, tuple(retellings)
            retellings.append(entry.reliability)
            source = entry.origin

    def credibility(self, grade: str, retellings: tuple[str, ...]) -> tuple[float, tuple[Stated, ...]]:
        """Return the chance that a note tracks its origin through retellings, and the ranges behind it."""
        point = tracking(self.tracking[grade], [self.soundness[one] for one in retellings])
        return point, tuple(_graded(one, self.grades[one]) for one in (grade, *retellings))

    def doubt_of(self, refs: Iterable[str]) -> tuple[float, Stated | None]:
        """Return the greatest doubt of some calculations' models, and the range behind it."""
        doubts: list[tuple[float, str, Chance]] = []
        for ref in refs:
            entry = self.entries[ref].entry
            assert isinstance(entry, Calculation)
            stated = entry.doubt or self.doubt
            doubts.append((stated.middle, f"{ref} doubt" if entry.doubt else "doubt", stated))
        middle, place, chance = max(doubts, key=lambda one: (one[0], one[1]))
        return middle, None if chance.low == chance.high else _range(chance, place)

    def origin_grade(self, source: str) -> str:
        """Return the reliability grade of a source."""
        entry = self.entries[source].entry
        assert isinstance(entry, Source)
        return entry.reliability


def judged(bearings: Bearings, rivals: Mapping[str, Hypothesis]) -> dict[str, Bearing]:
    """Return the bearing on each rival that the bearings name or cover by `others`; empty if they name none."""
    if not any(rival in bearings for rival in rivals):
        return {}
    others = bearings.get(OTHERS)
    stated = {rival: bearings.get(rival, others) for rival in rivals}
    return {rival: bearing for rival, bearing in stated.items() if bearing is not None}


def chance_of(bearing: Bearing) -> float:
    """Return P(note | rival): a range or word by its middle, an absence that would have shown with s as 1 - s."""
    return 1 - bearing.would_show.middle if isinstance(bearing, Absence) else float(bearing.middle)


def bearing_range(bearing: Bearing, place: str) -> Stated:
    """Return the range of a bearing."""
    if isinstance(bearing, Absence):
        shown = _range(bearing.would_show, place)
        return Stated(1 - shown.low, 1 - shown.high, shown.name)
    return _range(bearing, place)


def _range(chance: Chance, place: str) -> Stated:
    """Return the range of a chance; a ladder word has one name everywhere, any other range that of its place."""
    return Stated(chance.low, chance.high, f"ladder {chance.word}" if chance.word else place)


def _prior(chance: Chance, place: str, total: float) -> Stated:
    """Return the range of a prior, divided as its middle is, so that ranges and points stay in proportion."""
    stated = _range(chance, place)
    return Stated(stated.low / total, stated.high / total, stated.name)


def _graded(grade: str, chance: Chance) -> Stated:
    return Stated(chance.low, chance.high, f"grade {grade}")


def case(ground: Ground, question: str) -> Case:
    """Return all that bears on a question, as the weighing takes it.

    Notes and measurements of withdrawn sources do not count. Raises WeighingRefused when the question has no rivals.
    """
    rivals = ground.rivals(question)
    if not rivals:
        raise WeighingRefused(
            f"{question} has no standing hypothesis: post one with `question: {question.split('/')[1]}`"
        )
    notes = tuple(_notes(ground, rivals))
    predictions = tuple(_predictions(ground, rivals))
    origins = sorted({one.origin for one in notes} | {one.origin for one in predictions})
    stated = _priors(ground, question, rivals)
    total = sum(prior.middle for prior in stated.values())
    known = {rival: ground.known[question, rival] for rival in stated if (question, rival) in ground.known}
    if not any(prior.middle * known.get(rival, 1.0) for rival, prior in stated.items()):
        raise WeighingRefused(
            f"{question}: what came true of the questions it is linked to leaves none of its rivals. Mend a link."
        )
    return Case(
        question=question,
        prior={ref: prior.middle / total for ref, prior in stated.items()},
        stated={ref: _prior(prior, f"prior {ref}", total) for ref, prior in stated.items() if prior.low < prior.high},
        soundness={origin: ground.soundness[ground.origin_grade(origin)] for origin in origins},
        trust={
            origin: _graded(grade, ground.grades[grade])
            for origin in origins
            for grade in [ground.origin_grade(origin)]
        },
        notes=notes,
        predictions=predictions,
        feasibilities=tuple(_feasibility(ground, rival) for rival in rivals if rival in ground.holds),
        known=known,
    )


def links(entries: Mapping[str, Item]) -> tuple[Link, ...]:
    """Return the links between standing hypotheses; one that names a withdrawn hypothesis falls away."""
    found = []
    for ref, item in entries.items():
        entry = item.entry
        if not isinstance(entry, Hypothesis):
            continue
        found += [Link(ref, "needs", other) for other in entry.needs]
        found += [Link(ref, "rules-out", other) for other in entry.rules_out]
        for other, factor in entry.favours.items():
            stated = Stated(factor.low, factor.high, f"{ref} favours {other}") if factor.low < factor.high else None
            found.append(Link(ref, "favours", other, factor.middle, stated))
    return tuple(link for link in found if link.other in entries)


def _priors(ground: Ground, question: str, rivals: Mapping[str, Hypothesis]) -> dict[str, Chance]:
    entry = ground.entries[question].entry
    assert isinstance(entry, Question)
    return {**{ref: rival.prior for ref, rival in rivals.items()}, NONE_OF_THESE: entry.none_of_these}


def _feasibility(ground: Ground, rival: str) -> Feasibility:
    held = ground.holds[rival]
    doubt, stated = ground.doubt_of(held.calculations)
    return Feasibility(rival, held.share, doubt, held.calculations, stated, len(held.draws))


def _notes(ground: Ground, rivals: Mapping[str, Hypothesis]) -> list[Note]:
    notes = []
    for ref, item in ground.entries.items():
        note = item.entry
        if not isinstance(note, Evidence) or note.uncounted is not None or note.source not in ground.entries:
            continue
        bearing = judged(note.bearing, rivals)
        if not bearing:
            continue
        origin, retellings = ground.origin(note.source)
        credibility, trust = ground.credibility(note.credibility, retellings)
        stated = {
            rival: bearing_range(one, f"{ref} {rival if rival in note.bearing else OTHERS}")
            for rival, one in bearing.items()
        }
        points = {rival: chance_of(one) for rival, one in bearing.items()}
        notes.append(Note(ref, origin, credibility, points, stated, trust))
    return notes


def _predictions(ground: Ground, rivals: Mapping[str, Hypothesis]) -> list[Prediction]:
    stated: dict[str, dict[str, float]] = {}
    doubts: dict[str, dict[str, tuple[float, Stated | None]]] = {}
    for ref, item in ground.entries.items():
        entry = item.entry
        if (
            not isinstance(entry, Calculation)
            or entry.observed is None
            or entry.uncounted
            or ref not in ground.predicted
        ):
            continue
        measured = _measured(ground, entry.observed.measurement)
        if measured is None:
            continue
        if measured.shape == "exact":
            raise WeighingRefused(
                f"{entry.observed.measurement} has no doubt, so nothing can be held against it: state its doubt"
            )
        draws, unit = ground.predicted[ref]
        density = agreement(measured, draws * convert(1.0, unit, measured.unit))
        for rival in rivals:
            if rival in entry.hypotheses:
                if rival in stated.setdefault(entry.observed.measurement, {}):
                    raise WeighingRefused(
                        f"{rival} predicts {entry.observed.measurement} twice: mark one calculation `uncounted`"
                    )
                stated[entry.observed.measurement][rival] = density
                doubts.setdefault(entry.observed.measurement, {})[rival] = ground.doubt_of([ref])
    return [_prediction(ground, ref, rivals, stated[ref], doubts[ref]) for ref in sorted(stated) if stated[ref]]


def _measured(ground: Ground, ref: str) -> Quantity | None:
    item = ground.entries.get(ref)
    if item is None or not isinstance(item.entry, Measurement) or item.entry.source not in ground.entries:
        return None
    return item.entry.quantity


def _prediction(
    ground: Ground,
    ref: str,
    rivals: Mapping[str, Hypothesis],
    density: dict[str, float],
    doubt: Mapping[str, tuple[float, Stated | None]],
) -> Prediction:
    measurement = ground.entries[ref].entry
    assert isinstance(measurement, Measurement)
    for rival, entry in rivals.items():
        if rival in density:
            continue
        if ref not in entry.predicts:
            raise WeighingRefused(
                f"{rival} predicts nothing for {ref}: give it `predicts: {{{ref.split('/')[1]}: a broad range}}`"
            )
        density[rival] = overlap(measurement.quantity, entry.predicts[ref].to(measurement.quantity.unit))
    origin, retellings = ground.origin(measurement.source)
    credibility, trust = ground.credibility(measurement.credibility, retellings)
    points = {rival: point for rival, (point, _) in doubt.items()}
    ranges = {rival: stated for rival, (_, stated) in doubt.items() if stated is not None}
    return Prediction(ref, origin, credibility, density, points, trust, ranges)
