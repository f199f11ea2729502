"""Other ways to the confidences of linked questions: a Bayesian network, and plain enumeration in exact fractions.

In the network a link is one more observation, made with a chance in proportion to its factor: what it forbids it would
never be made beside.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import product

import numpy as np
from weighing_oracles import tables_of, web_of

from ledger.weighing.values import NONE, Case, Feasibility, Link, Note, Prediction

SHAPES = ("chain", "tree", "cycle", "cluster", "apart")


def says(link, one, other):
    """Return a link's factor on a pair of rivals."""
    if link.kind == "needs":
        return 0 if one == link.one and other != link.other else 1
    if (one, other) != (link.one, link.other):
        return 1
    return 0 if link.kind == "rules-out" else link.factor


def questions_of(cases, link):
    """Return the questions of a link's two rivals."""
    owner = {rival: case.question for case in cases for rival in case.prior if rival != NONE}
    return owner[link.one], owner[link.other]


def joint_network(cases, links):
    """Return P(rival | everything) by question, from one network of all questions and links (pgmpy)."""
    return joint_asked(cases, links)()


def joint_asked(cases, links):
    """Return that network made ready, as a function that finds the confidences."""
    from pgmpy.factors.discrete import TabularCPD

    tables, evidence = [], {}
    by_question = {case.question: case for case in cases}
    for case in cases:
        more, seen = tables_of(case, f" {case.question}")
        tables += more
        evidence |= seen
    for link in links:
        one, other = questions_of(cases, link)
        factor = np.array([[says(link, a, b) for b in by_question[other].prior] for a in by_question[one].prior], float)
        yes = (factor / max(1.0, factor.max())).ravel()
        tables.append(
            TabularCPD(
                link.name,
                2,
                [1 - yes, yes],
                [f"H {one}", f"H {other}"],
                [len(by_question[question].prior) for question in (one, other)],
            )
        )
        evidence[link.name] = 1
    asked = web_of(tables)

    def found():
        values = {
            case.question: asked.query([f"H {case.question}"], evidence=evidence, show_progress=False).values.tolist()
            for case in cases
        }
        return {case.question: dict(zip(case.prior, values[case.question], strict=True)) for case in cases}

    return found


def enumerated_jointly(own, links):
    """Return the confidences by question from every combination of rivals, in exact fractions.

    own  by question and rival, what its own evidence makes of its prior, up to a common factor
    """
    rivals = {question: list(chances) for question, chances in own.items()}
    owner = {rival: question for question, names in rivals.items() for rival in names if rival != NONE}
    place = {question: index for index, question in enumerate(rivals)}
    total = {question: dict.fromkeys(names, Fraction(0)) for question, names in rivals.items()}
    for combination in product(*rivals.values()):
        chance = Fraction(1)
        for question, rival in zip(rivals, combination, strict=True):
            chance *= Fraction(own[question][rival])
        for link in links:
            chance *= Fraction(says(link, combination[place[owner[link.one]]], combination[place[owner[link.other]]]))
        for question, rival in zip(rivals, combination, strict=True):
            total[question][rival] += chance
    everything = sum(next(iter(total.values())).values())
    return {
        question: {rival: value / everything for rival, value in chances.items()} for question, chances in total.items()
    }


def pairs_of(shape, count, draw):
    """Return which questions are linked, by number."""
    chain = [(number, number + 1) for number in range(count - 1)]
    if shape == "chain":
        return chain
    if shape == "tree":
        return [(int(draw.integers(number)), number) for number in range(1, count)]
    if shape == "cycle":
        return [*chain, (count - 1, 0)]
    if shape == "cluster":
        return [(one, other) for one in range(count) for other in range(one + 1, count)]
    return chain[:-1]  # the last question is linked to nothing


def random_network(seed, most=4, evidence=2):
    """Return cases and links drawn at random, of one of the shapes by turns."""
    draw = np.random.default_rng([seed, 4])
    shape = SHAPES[seed % len(SHAPES)]
    count = int(draw.integers(2 if shape in ("chain", "tree") else 3, most + 1))
    cases = [random_question(number, draw, evidence) for number in range(count)]
    named = [[rival for rival in case.prior if rival != NONE] for case in cases]
    links = {}
    for one, other in pairs_of(shape, count, draw):
        for _ in range(int(draw.integers(1, 3))):
            ends = [str(draw.choice(named[one])), str(draw.choice(named[other]))]
            if draw.random() < 0.5:
                ends.reverse()
            kind = str(draw.choice(["needs", "rules-out", "favours"], p=[0.3, 0.25, 0.45]))
            factor = float(np.exp(draw.uniform(-3, 3))) if kind == "favours" else 1.0
            links.setdefault(frozenset(ends), Link(ends[0], kind, ends[1], factor))
    return cases, list(links.values())


def random_question(number, draw, evidence=2):
    """Return a question with a few rivals, notes of shared sources, a prediction now and then, and a feasibility."""
    named = [f"q{number}-{name}" for name in ("drum", "face-cam", "rack")[: draw.integers(1, 4)]]
    shares = draw.dirichlet(np.full(len(named) + 1, 2.0))
    sources = ["sources/left", "sources/right"][: draw.integers(1, 3)]

    def row(kind, place):
        return f"{kind}/q{number}-{place}", str(draw.choice(sources)), float(draw.uniform(0.1, 0.99))

    def judged():
        kept = [rival for rival in named if draw.random() < 0.8] or named[:1]
        return {rival: float(draw.uniform(0.02, 0.98)) for rival in kept}

    return Case(
        question=f"questions/q{number}",
        prior=dict(zip([*named, NONE], shares.tolist(), strict=True)),
        soundness={source: float(draw.uniform(0.1, 0.99)) for source in sources},
        notes=tuple(Note(*row("evidence", place), judged()) for place in range(draw.integers(0, evidence + 1))),
        predictions=tuple(
            Prediction(
                *row("measurements", place),
                {rival: float(draw.uniform(0.01, 5)) for rival in named},
                {rival: float(draw.uniform(0.02, 0.4)) for rival in named[1:]},
            )
            for place in range(draw.integers(0, 2))
        ),
        feasibilities=(Feasibility(named[0], float(draw.uniform(0, 1)), 0.05, (f"calculations/q{number}",)),)
        if draw.random() < 0.5
        else (),
    )
