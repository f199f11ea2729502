"""Exact sums over all combinations of several variables, in logs, whatever the factors: marginals by contraction.

A factor is a table of logs over its scope, (draws or 1, *sizes of the scope's variables). opt_einsum plans in which
order factors are joined; the sums themselves are made in logs here, so that nothing underflows, once inwards and once
outwards, which gives every marginal at about three times the cost of one sum. Inside, draws are the last axis, along
which numpy is fast.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ledger.weighing.likelihood import Array

Scope = tuple[str, ...]


@dataclass(frozen=True)
class Step:
    """Two nodes joined into one: their places, the scope of both together, and the scope that is still needed."""

    places: tuple[int, ...]
    union: Scope
    left: Scope


@dataclass(frozen=True)
class Plan:
    """An order of joining. Nodes 0, 1, … are the factors, then one node a step. `largest` is the largest table."""

    scopes: tuple[Scope, ...]
    steps: tuple[Step, ...]
    largest: int


def plan(sizes: Mapping[str, int], scopes: Sequence[Scope]) -> Plan:
    """Return the order in which factors of these scopes are joined.

    sizes   number of values of each variable
    scopes  variables of each factor; together they are connected

    Whether the largest table is too large is for the caller to say.
    """
    import opt_einsum  # only where weighings are not kept

    symbols = {name: opt_einsum.get_symbol(place) for place, name in enumerate(sizes)}
    equation = ",".join("".join(symbols[name] for name in scope) for scope in scopes) + "->"
    shapes = [tuple(sizes[name] for name in scope) for scope in scopes]
    path, _ = opt_einsum.contract_path(equation, *shapes, shapes=True, optimize="auto")
    alive, nodes = list(range(len(scopes))), list(scopes)
    steps, largest = [], max(math.prod(shape) for shape in shapes)
    for together in path:
        places = tuple(alive[index] for index in together)
        alive = [place for place in alive if place not in places]
        union = tuple(dict.fromkeys(name for place in places for name in nodes[place]))
        needed = {name for place in alive for name in nodes[place]}
        largest = max(largest, math.prod(sizes[name] for name in union))
        left = tuple(name for name in union if name in needed)
        steps.append(Step(places, union, left))
        alive.append(len(nodes))
        nodes.append(left)
    return Plan(tuple(scopes), tuple(steps), largest)


def sums(order: Plan, tables: Sequence[Array], wanted: int | None = None) -> tuple[Array, list[Array]]:
    """Return the log of the sum over all combinations, (draws,), and what surrounds each of the first `wanted` factors.

    Without `wanted` it is told of all. The surroundings of a factor are the log of the sum of the product of all
    others, over everything but its own scope; they may have an axis of length one where they are the same throughout.
    Table + surroundings, normalised, is the joint chance of that scope.
    """
    wanted = len(tables) if wanted is None else wanted
    nodes = [
        (scope, np.ascontiguousarray(np.moveaxis(table, 0, -1)))
        for scope, table in zip(order.scopes, tables, strict=True)
    ]
    for step in order.steps:
        nodes.append((step.left, _summed([nodes[place] for place in step.places], step.union, step.left)))
    around: list[tuple[Scope, Array] | None] = [None] * len(nodes)
    around[-1] = ((), np.zeros(1))
    for place in range(len(order.steps) - 1, -1, -1):
        step, outside = order.steps[place], around[len(order.scopes) + place]
        assert outside is not None
        for one in step.places:
            if wanted <= one < len(tables):
                continue
            others = [nodes[other] for other in step.places if other != one]
            around[one] = (nodes[one][0], _summed([*others, outside], step.union, nodes[one][0]))
    return nodes[-1][1], [np.ascontiguousarray(np.moveaxis(table, -1, 0)) for _, table in filter(None, around[:wanted])]


def _summed(parts: Sequence[tuple[Scope, Array]], union: Scope, left: Scope) -> Array:
    """Return the log of the sum of a product of factors over the variables that are not left."""
    total = _spread(parts[0], union)
    for part in parts[1:]:
        total = total + _spread(part, union)
    total = log_sum(total, tuple(place for place, name in enumerate(union) if name not in left))
    kept = [name for name in union if name in left]
    return np.transpose(total, (*(kept.index(name) for name in left), len(left)))


def _spread(part: tuple[Scope, Array], union: Scope) -> Array:
    """Return a factor with an axis for each variable of the union, of length one where it knows nothing of it."""
    scope, table = part
    ordered = [name for name in union if name in scope]
    turned = np.transpose(table, (*(scope.index(name) for name in ordered), len(scope)))
    shape = iter(turned.shape)
    return turned.reshape(*(next(shape) if name in scope else 1 for name in union), turned.shape[-1])


def log_sum(logs: Array, axes: tuple[int, ...]) -> Array:
    """Return the log of the sum of exponentials along some axes; minus infinity where all are."""
    if not axes:
        return logs
    greatest = logs.max(axis=axes, keepdims=True)
    safe = np.where(np.isneginf(greatest), 0.0, greatest)
    with np.errstate(divide="ignore"):
        summed: Array = np.log(np.exp(logs - safe).sum(axis=axes)) + safe.squeeze(axis=axes)
    return summed
