"""Losing each of 500 sources (and each note and calculation) in turn, beside one full ranking of the same questions.

Run: python -m pytest tests/benchmarks/bench_fragility.py -o addopts= --benchmark-only
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from ledger.casebook.fragility import beliefs, grade_effects, how_wrong, losses, smallest_sets
from ledger.casebook.grounding import stand
from ledger.casebook.items import Edition, Item
from ledger.casebook.values import Casebook
from ledger.casebook.weighed import weigh_all
from ledger.entries.models import FOLDERS, MODELS
from tests.toys import TOYS

QUESTIONS, DRAWS = 12, 10_000
RIVALS = ("drum", "cam", "rods", "rams", "keys")


def fronts(sources: int, questions: int) -> dict[str, dict]:
    """A source for each note, one in ten a retelling; a model a question on a measured width; questions in a chain."""
    draw = np.random.default_rng(5)
    made = {
        "investigation/box": {
            "kind": "investigation", "title": "A box", "by": ["The bench"], "subject": "a box", "invented": True,
        }
    }  # fmt: skip
    for number in range(sources):
        made[f"sources/s{number}"] = {
            "kind": "source", "title": "A source", "medium": "photograph", "author": "A. Draughtsman", "date": 2031,
            "rights": "by leave", "reliability": "ABCDEF"[int(draw.integers(6))],
            **({"origin": f"s{number - 1}"} if number % 10 == 9 else {}),
        }  # fmt: skip
        question = number % questions
        made[f"evidence/n{number}"] = {
            "kind": "evidence", "title": "A note", "source": f"s{number}", "credibility": int(draw.integers(1, 7)),
            "bearing": {
                f"{rival}-{question}": f"{low:.2f}..{low + 0.1:.2f}"
                for rival, low in zip(RIVALS, draw.uniform(0.3, 0.6, 5).tolist(), strict=True)
            },
        }  # fmt: skip
    for question in range(questions):
        made[f"questions/q{question}"] = {"kind": "question", "title": "A question"}
        made[f"measurements/m{question}"] = {
            "kind": "measurement", "title": "A width", "quantity": "10 ± 1 mm", "source": f"s{question}",
            "credibility": 2, "method": "scaled from a known bolt",
        }  # fmt: skip
        for place, rival in enumerate(RIVALS):
            linked = {"favours": {f"drum-{question + 1}": 3.0}} if place == 0 and question % 4 != 3 else {}
            made[f"hypotheses/{rival}-{question}"] = {
                "kind": "hypothesis", "title": "A rival", "question": f"q{question}", "prior": 0.18,
                "reason": "Invented.", **linked,
            }  # fmt: skip
        for name, width in (
            ("stated", {"value": "9 ± 2 mm", "reason": "Invented."}),
            ("on", f"measurements/m{question}"),
        ):
            made[f"calculations/{name}-{question}"] = {
                "kind": "calculation", "title": "A plate", "calculator": "plate", "hypotheses": [f"drum-{question}"],
                "inputs": {"width": width, "height": {"value": "20 ± 3 mm", "reason": "Invented."}},
                "criteria": [{"output": "area", "at-most": "215 ± 20 mm²"}],
            }  # fmt: skip
    return made


def casebook(sources: int, questions: int = QUESTIONS) -> Casebook:
    kinds = {folder: kind for kind, folder in FOLDERS.items()}
    said = fronts(sources, questions)
    entries = {
        ref: Item(ref, kinds[ref.split("/")[0]], ref.split("/")[1], MODELS[front["kind"]].model_validate(front), "", 1)
        for ref, front in sorted(said.items())
    }
    computed, ground = stand(entries, said, TOYS, {}, DRAWS)
    weighed = weigh_all(ground, 0)
    assert len(weighed.weighings) == questions
    return Casebook(
        entries=entries, withdrawn={}, results=computed.results, refused=computed.refused, weighings=weighed.weighings,
        feasibility={}, used_by={}, soundness=ground.soundness, tracking=ground.tracking, findings=(), twice=(),
        edition=Edition(0, ""), cases=weighed.cases, links=weighed.links, ground=ground,
    )  # fmt: skip


@pytest.fixture(scope="module")
def five_hundred():
    return casebook(500)


def test_a_full_ranking(benchmark, five_hundred):
    """All twelve questions with 10,000 draws of every range: what the others are held against."""
    weighed = benchmark.pedantic(weigh_all, (five_hundred.ground, DRAWS), rounds=3)
    assert len(weighed.weighings) == QUESTIONS


@pytest.mark.parametrize(("sources", "questions"), [(125, 12), (250, 12), (500, 12), (1000, 12), (1000, 24)])
def test_losses(benchmark, sources, questions):
    """Every source, note, measurement and calculation lost in turn; what fewer calculations say, in the first round."""
    made = casebook(sources, questions)
    found = benchmark.pedantic(losses, setup=lambda: ((replace(made),), {}), rounds=3)
    assert {one.ref for one in found if one.kind == "source"} == {f"sources/s{number}" for number in range(sources)}


@pytest.mark.parametrize("ask", [smallest_sets, beliefs, how_wrong, grade_effects])
def test_the_rest(benchmark, five_hundred, ask):
    """The smallest sets, what one would have to believe, how wrong bearings would have to be, and other grades."""
    assert benchmark.pedantic(ask, (five_hundred,), rounds=3)
