"""Twelve linked questions of five rivals with two hundred notes and ten thousand draws, beside exact inference without.

The other way is variable elimination of all twelve marginals in the Bayesian network of the same questions, notes and
links (pgmpy), at the middles alone.

Run: python -m pytest tests/benchmarks/bench_linked.py -o addopts=
"""

import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "independent"))

from linked_oracles import joint_asked

from ledger.weighing.values import NONE, Case, Link, Note, Stated
from ledger.weighing.weigh import weigh_together

QUESTIONS, RIVALS, NOTES, DRAWS = 12, 5, 200, 10_000
PAIRS = [(0, 1), (1, 2), (2, 3), (4, 5), (5, 6), (4, 6), (7, 8), (8, 9), (9, 10), (7, 9), (3, 4), (6, 7), (10, 11)]


def names(number):
    return [f"hypotheses/q{number:02}-{rival}" for rival in "abcde"[:RIVALS]]


def network(notes):
    """Return questions in chains and clusters of three; four in five bearings are ranges, a quarter of them words."""
    draw = np.random.default_rng(1)
    of = [[] for _ in range(QUESTIONS)]
    for place in range(notes):
        number, ref = place % QUESTIONS, f"evidence/n{place:04}"
        ends = np.sort(draw.uniform(0.05, 0.95, (RIVALS, 2)), axis=1)
        behind = {
            rival: Stated(0.55, 0.8, "ladder likely") if draw.random() < 0.25 else Stated(low, high, f"{ref} {rival}")
            for rival, (low, high) in zip(names(number), ends.tolist(), strict=True)
            if draw.random() < 0.8
        }
        bearing = {
            rival: (behind[rival].low + behind[rival].high) / 2 if rival in behind else float(draw.uniform(0.1, 0.9))
            for rival in names(number)
        }
        trust = Stated(0.7, 0.9, f"grade {place % 4 + 1}")
        of[number].append(Note(ref, f"sources/s{place % 7}", 0.8, bearing, behind, (trust,)))
    prior = dict(zip("abcde", [0.3, 0.2, 0.2, 0.1, 0.1], strict=True))
    cases = [
        Case(
            f"questions/q{number:02}",
            {**{rival: prior[rival[-1]] for rival in names(number)}, NONE: 0.1},
            {f"sources/s{place}": 0.8 for place in range(7)},
            tuple(of[number]),
            trust={f"sources/s{place}": Stated(0.7, 0.9, f"grade {'ABC'[place % 3]}") for place in range(7)},
            stated={names(number)[0]: Stated(0.2, 0.4, f"prior q{number}")},
        )
        for number in range(QUESTIONS)
    ]
    kinds = ("needs", "rules-out", "favours")
    links = [
        Link(
            names(one)[place % 5],
            kinds[place % 3],
            names(other)[(place + 1) % 5],
            3.0 if place % 3 == 2 else 1.0,
            Stated(1.5, 6.0, f"link {place}") if place % 3 == 2 else None,
        )
        for place, (one, other) in enumerate(PAIRS)
    ]
    return cases, links


def test_with_all_draws(benchmark):
    """Check, weigh, leave out every note, source, prior and link, draw up accounts, and draw ten thousand times."""
    found = benchmark(weigh_together, *network(NOTES), DRAWS)
    assert all(len(next(iter(weighing.drawn.values()))) == DRAWS for weighing in found.values())


def test_without_draws(benchmark):
    """The same at the middles alone."""
    assert len(benchmark(weigh_together, *network(NOTES))) == QUESTIONS


def test_exact_inference_by_another_library(benchmark):
    """Variable elimination of all twelve marginals agrees, and is what ten thousand draws are held against."""
    cases, links = network(NOTES)
    asked = joint_asked(cases, links)
    found = benchmark.pedantic(asked, rounds=3)
    for question, weighing in weigh_together(cases, links).items():
        assert {one.rival: one.confidence for one in weighing.standings} == pytest.approx(found[question], rel=1e-9)


@pytest.mark.parametrize("notes", [100, 200, 400, 800])
def test_growth_with_notes(benchmark, notes):
    """Twice the notes cost about twice as much."""
    found = benchmark.pedantic(weigh_together, (*network(notes), DRAWS), rounds=2)
    assert sum(len(weighing.weights) for weighing in found.values()) >= notes
