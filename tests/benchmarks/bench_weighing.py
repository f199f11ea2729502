"""A hundred questions of five rivals with two thousand notes, beside the bare posterior of the same arrays.

Run: python -m pytest tests/benchmarks/bench_weighing.py --benchmark-enable --benchmark-only
"""

import numpy as np
import pytest

from ledger.weighing.layout import lay_out, work_out
from ledger.weighing.values import NONE, Case, Note
from ledger.weighing.weigh import weigh

RIVALS = ("drum", "face-cam", "rack", "rod", "sleeve")
QUESTIONS, NOTES = 100, 20


@pytest.fixture(scope="module")
def cases():
    draw = np.random.default_rng(1)

    def case(number):
        notes = tuple(
            Note(
                f"evidence/n{note}",
                f"sources/s{note % 5}",
                0.8,
                dict(zip(RIVALS, draw.uniform(size=5).tolist(), strict=True)),
            )
            for note in range(NOTES)
        )
        prior = dict.fromkeys(RIVALS, 0.18) | {NONE: 0.1}
        return Case(f"questions/q{number}", prior, {f"sources/s{source}": 0.8 for source in range(5)}, notes)

    return [case(number) for number in range(QUESTIONS)]


def bare_posterior(prior, soundness, parts):
    """Return the posterior of all questions at once, their notes in five origins of four, in three numpy steps."""
    story = parts.reshape(len(parts), 5, -1, parts.shape[-1]).prod(axis=2)
    factor = (
        soundness[..., None] * story + (1 - soundness[..., None]) * np.einsum("di,doi->do", prior, story)[..., None]
    )
    posterior = prior * factor.prod(axis=1)
    return posterior / posterior.sum(axis=-1, keepdims=True)


def test_weigh_everything(benchmark, cases):
    """Check, weigh, leave out each note and source, draw up the account: all hundred questions."""
    results = benchmark(lambda: [weigh(case) for case in cases])
    assert len(results) == QUESTIONS


def test_posterior_only(benchmark, cases):
    """The same factors from laid-out arrays, question by question."""
    layouts = [lay_out(case) for case in cases]
    assert len(benchmark(lambda: [work_out(layout) for layout in layouts])) == QUESTIONS


def test_bare_numpy(benchmark, cases):
    """The bare posterior agrees with the weighing, and is the floor its time is held against."""
    layouts = [lay_out(case) for case in cases]
    prior, soundness, parts = (
        np.concatenate([getattr(layout, name) for layout in layouts]) for name in ("prior", "soundness", "parts")
    )
    found = benchmark(bare_posterior, prior, soundness, np.exp(parts))
    for case, layout, chances in zip(cases, layouts, found, strict=True):
        ours = {standing.rival: standing.confidence for standing in weigh(case).standings}
        assert [ours[rival] for rival in layout.rivals] == pytest.approx(chances.tolist(), rel=1e-9)


def test_one_question_of_two_thousand_notes(benchmark, cases):
    """Leaving out each of two thousand notes costs in proportion to the notes, not to their square."""
    notes = tuple(
        Note(f"evidence/q{number}-{note.ref.split('/')[1]}", note.origin, note.credibility, note.bearing)
        for number, case in enumerate(cases)
        for note in case.notes
    )
    case = Case("questions/large", cases[0].prior, cases[0].soundness, notes)
    assert len(benchmark(weigh, case).weights) == QUESTIONS * NOTES + 5
