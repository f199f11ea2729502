"""Linked questions: which belong together, what links leave of their priors, and what the rest says to each of them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ledger.errors import WeighingRefused
from ledger.weighing.drawn import Drawn
from ledger.weighing.joint import Plan, plan, sums
from ledger.weighing.layout import in_order
from ledger.weighing.likelihood import Array, logs
from ledger.weighing.values import Case, Impossible, Link

MOST_ENTRIES = 10**6


@dataclass(frozen=True)
class Group:
    """Questions that links connect, weighed as one.

    rivals  of each question, in the order of its layout
    owner   question of each rival
    links   by name, in order
    known   log of what known answers multiply each rival by, (1, rivals), by question that they say anything to
    plan    how to join the questions' own factors, in the order of `rivals`, and then the links, in theirs
    """

    rivals: Mapping[str, tuple[str, ...]]
    owner: Mapping[str, str]
    links: tuple[Link, ...]
    known: Mapping[str, Array]
    plan: Plan

    def tables(self, drawn: Drawn | None = None) -> list[Array]:
        """Return the log of each link's factor, (draws or 1, rivals of one, rivals of other)."""
        return [self._table(link, drawn) for link in self.links]

    def _table(self, link: Link, drawn: Drawn | None) -> Array:
        ones, others = self.rivals[self.owner[link.one]], self.rivals[self.owner[link.other]]
        factor = np.array([link.factor])
        if drawn is not None and link.stated is not None:
            factor = drawn.factor(link.stated)
        table = np.zeros((len(factor), len(ones), len(others)))
        row, column = ones.index(link.one), others.index(link.other)
        if link.kind == "needs":
            table[:, row, :] = -np.inf
            table[:, row, column] = 0.0
        else:
            table[:, row, column] = logs(factor) if link.kind == "favours" else -np.inf
        return table


def groups(questions: Mapping[str, Iterable[str]], links: Iterable[Link]) -> tuple[tuple[str, ...], ...]:
    """Return the questions, those that links connect together; each group and all of them in order of name."""
    owner = {rival: question for question, rivals in questions.items() for rival in rivals}
    together = {question: {question} for question in questions}
    for link in links:
        joined = together[owner[link.one]] | together[owner[link.other]]
        for question in joined:
            together[question] = joined
    return tuple(sorted({tuple(sorted(group)) for group in together.values()}))


def group(cases: Mapping[str, Case], links: Sequence[Link]) -> Group:
    """Return connected questions made ready to be weighed as one.

    Raises WeighingRefused when an exact sum would need a table of more than a million entries; it names the links.
    """
    rivals = {question: in_order(case) for question, case in cases.items()}
    owner = {
        rival: question
        for question, names in rivals.items()
        for rival in names[:-1]  # the last is "none of these", of which no link speaks
    }
    links = tuple(sorted(links, key=lambda link: link.name))
    scopes = [(question,) for question in rivals]
    order = plan(
        {question: len(names) for question, names in rivals.items()},
        [*scopes, *((owner[link.one], owner[link.other]) for link in links)],
    )
    if order.largest > MOST_ENTRIES:
        raise WeighingRefused(
            f"the questions {', '.join(rivals)} are linked so closely that weighing them exactly needs a table of "
            f"{order.largest:,} entries, more than {MOST_ENTRIES:,}. Take out some of these links: "
            f"{'; '.join(link.name for link in links)}."
        )
    known = {
        question: logs(np.array([[case.known.get(rival, 1.0) for rival in rivals[question]]]))
        for question, case in cases.items()
        if case.known
    }
    return Group(rivals, owner, links, known, order)


def from_the_rest(of: Group, own: Sequence[Array], tables: Sequence[Array]) -> tuple[Array, list[Array]]:
    """Return the log of the sum over all combinations, (draws,), and what the rest says to each question.

    own     log of each question's own factors, (draws or 1, rivals), in the order of the group
    tables  of the links, likewise

    What the rest says is the log of a factor on each rival, (draws or 1, rivals): own + it, normalised, is the
    question's confidence with all others taken into account, and with what is known of others.
    """
    known = [of.known.get(question, np.zeros((1, len(rivals)))) for question, rivals in of.rivals.items()]
    held = [mine + said for mine, said in zip(own, known, strict=True)]
    if not of.links:
        return np.logaddexp.reduce(held[0], axis=-1), known
    total, around = sums(of.plan, [*held, *tables], len(own))
    return total, [_centred(table + said) for table, said in zip(around, known, strict=True)]


def _centred(table: Array) -> Array:
    greatest = table.max(axis=-1, keepdims=True)
    return table - np.where(np.isneginf(greatest), 0.0, greatest)


def linked_priors(
    of: Group, cases: Mapping[str, Case]
) -> tuple[dict[str, dict[str, float]], dict[str, tuple[Impossible, ...]]]:
    """Return, by question, the priors after links by rival, and the rivals that links leave no combination for.

    Raises WeighingRefused, naming a least set of links, when they leave no combination at all.
    """
    own = [logs(_prior(cases[question], names)) for question, names in of.rivals.items()]
    total, rest = from_the_rest(of, own, of.tables())
    if np.isneginf(total).any():
        raise WeighingRefused(
            f"{', '.join(of.rivals)}: the links leave no combination of rivals that could be true: "
            f"{'; '.join(least(of, own))}. Take out or mend one of them."
        )
    found: dict[str, dict[str, float]] = {}
    impossible: dict[str, tuple[Impossible, ...]] = {}
    for (question, names), mine, others in zip(of.rivals.items(), own, rest, strict=True):
        shares = np.exp(mine + others - np.logaddexp.reduce(mine + others, axis=-1, keepdims=True))[0]
        found[question] = dict(zip(names, (shares / shares.sum()).tolist(), strict=True))
        possible = np.isfinite(mine[0] + of.known.get(question, np.zeros((1, len(names))))[0])
        shut = np.flatnonzero(np.isneginf(others[0]) & possible).tolist()
        impossible[question] = tuple(Impossible(names[place], least(of, own, (question, place))) for place in shut)
    return found, impossible


def _prior(case: Case, names: tuple[str, ...]) -> Array:
    prior = np.array([[case.prior[name] for name in names]], dtype=float)
    shares: Array = prior / prior.sum()
    return shares


def least(of: Group, own: Sequence[Array], held: tuple[str, int] | None = None) -> tuple[str, ...]:
    """Return a least set of links that leaves no combination: without any one of them there are some.

    own   log of each question's own factors, (1, rivals), in the order of the group
    held  a question and the place of one of its rivals: no combination with that one
    """
    tables = of.tables()
    fixed = list(own)
    if held is not None:
        place = list(of.rivals).index(held[0])
        fixed[place] = np.where(np.arange(own[place].shape[1]) == held[1], own[place], -np.inf)
    kept = list(range(len(of.links)))
    for index in range(len(of.links)):
        trial = [table if one in kept and one != index else np.zeros_like(table) for one, table in enumerate(tables)]
        if np.isneginf(from_the_rest(of, fixed, trial)[0]).all():
            kept.remove(index)
    return tuple(of.links[index].name for index in kept)
