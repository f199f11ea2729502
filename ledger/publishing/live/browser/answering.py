"""What the page asks of the worker, and the answers: compute at the middles, show more, draw a slice, sum up."""

from __future__ import annotations

import numpy as np

from ledger.publishing.drawings.curves import draw
from ledger.publishing.live.browser.binding import drawn, draws_of, in_doubt, middles, read_all
from ledger.publishing.live.browser.reading import read
from ledger.publishing.live.browser.telling import cell_told, chance_told, number_told, spread_told

NUMERIC = ("number", "whole", "truth")
LARGE = ("rows", "curves")


class Desk:
    """One calculator and what was last asked of it.

    units    by path of an input the factors of the units that may be written; `of.` and an output's name for limits
    factors  by output what a number is multiplied by to have it in the unit it is shown in
    """

    def __init__(self, calculator, units, factors):
        self.calculator, self.units, self.factors = calculator, units, factors
        self.found, self.limits, self.outputs, self.made, self.kept, self.held, self.words = {}, [], {}, {}, {}, [], {}

    def compute(self, asked):
        """Return the outputs at the middles with the criteria, or the problems by field."""
        self.found, problems = read_all(self.calculator, asked["inputs"], self.units, asked.get("roots", {}))
        self.made, self.kept, self.held, self.words = {}, {}, [], {}
        if problems:
            return {"problems": [{"field": one.field, "text": one.text} for one in problems]}
        self.limits = [self._limit(place, one) for place, one in enumerate(asked.get("criteria", []))]
        try:
            outputs = self._run(middles(self.calculator, self.found))
        except ValueError as error:
            return {"problems": [{"field": "", "text": str(error)}]}
        self.outputs = outputs
        there = [one for one in self.calculator.outputs if one.name in outputs]
        doubtful = in_doubt(self.found) or any(limit["doubtful"] for limit in self.limits)
        draws = bool(self.calculator.vectorised and doubtful)
        told = [self._told(one, outputs[one.name], draws) for one in there if one.form not in LARGE]
        return {
            "outputs": told,
            "more": [one.name for one in there if one.form in LARGE],
            "criteria": [self._met(limit, outputs) for limit in self.limits],
            "draws": draws,
        }

    def _run(self, raw):
        outputs = dict(self.calculator.compute(**raw))
        for declared in self.calculator.outputs:
            if declared.name not in outputs:
                if declared.optional:
                    continue
                raise ValueError(f"{self.calculator.name} gave no {declared.name}")
            if declared.form in ("number", "whole") and not np.all(np.isfinite(outputs[declared.name])):
                raise ValueError(f"{declared.label}: not a finite number for some of these inputs.")
        return outputs

    def _limit(self, place, criterion):
        """Return a criterion with its limits read, in the output's declared unit."""
        units = self.units.get(f"of.{criterion['output']}", {"": 1.0})
        roots = criterion.get("roots", {})
        sides = [
            (side, read(criterion[side], units), roots.get(side, f"criterion.{place}.{side}"))
            for side in ("at_least", "at_most")
            if criterion.get(side)
        ]
        doubtful = any(stated.shape != "exact" for _, stated, _ in sides)
        return {"output": criterion["output"], "holds": criterion.get("holds"), "sides": sides, "doubtful": doubtful}

    def _met(self, limit, outputs):
        """Return whether a criterion is met at the middles; None where these inputs do not ask for its output."""
        if limit["output"] not in outputs:
            return None
        value = _plain(outputs[limit["output"]])
        if limit["holds"] is not None:
            return bool(value) == limit["holds"]
        return all(_keeps(side, float(value), stated.mean) for side, stated, _ in limit["sides"])

    def _told(self, declared, value, draws):
        """Return a value with its text, which is empty where words speak of draws that are still to come."""
        name, form = declared.name, declared.form
        if form in NUMERIC:
            plain = _plain(value)
            text = "" if form == "truth" else number_told(plain * self.factors.get(name, 1.0), _unit(declared))
            return {"name": name, "value": bool(plain) if form == "truth" else plain, "text": text}
        return {"name": name, "value": str(value), "text": "" if draws and "draws" in str(value) else str(value)}

    def draw(self, asked):
        """Compute draws `start` to `stop` of `count` and keep them; return how far that is, or what went wrong."""
        start, stop, count = asked["start"], asked["stop"], asked["count"]
        try:
            outputs = self._run(drawn(self.found, start, stop, count, self.made))
        except (ValueError, ZeroDivisionError, OverflowError) as error:
            return {"problem": str(error)}
        size = stop - start
        for declared in self.calculator.outputs:
            if declared.form == "text" and declared.name in outputs and size == count:
                self.words[declared.name] = str(outputs[declared.name])
            if declared.form in NUMERIC and declared.name in outputs:
                values = np.broadcast_to(outputs[declared.name], size)
                self.kept.setdefault(declared.name, []).extend(float(one) for one in values)
        self.held.append([self._kept(limit, outputs, start, stop, count) for limit in self.limits])
        return {"done": stop}

    def _kept(self, limit, outputs, start, stop, count):
        if limit["output"] not in outputs:
            return [False] * (stop - start)
        values = [float(one) for one in np.broadcast_to(outputs[limit["output"]], stop - start)]
        if limit["holds"] is not None:
            return [bool(value) == limit["holds"] for value in values]
        held = [True] * len(values)
        for side, stated, name in limit["sides"]:
            bounds = draws_of(stated, name, count, self.made)[start:stop]
            held = [one and _keeps(side, value, bound) for one, value, bound in zip(held, values, bounds, strict=False)]
        return held

    def sum_up(self, asked):
        """Return the interval of every number, the chance of every truth, the chance that each criterion is kept.

        Words are told anew where one computation took all draws: they may speak of the draws. The draws themselves
        are added where `values` are asked for.
        """
        told = dict(self.words)
        for declared in self.calculator.outputs:
            values = self.kept.get(declared.name)
            if values is None:
                continue
            if declared.form == "truth":
                told[declared.name] = chance_told(values)
                continue
            factor = self.factors.get(declared.name, 1.0)
            meant = self.kept.get(declared.given, [1.0] * len(values))
            shown = [value * factor for value, held in zip(values, meant, strict=False) if held]
            if shown:
                told[declared.name] = spread_told(shown, _unit(declared), len(values))
        held = [[one for part in self.held for one in part[place]] for place in range(len(self.limits))]
        values = {"values": self.kept} if asked.get("values") else {}
        return {"outputs": told, "criteria": [chance_told(one) for one in held], **values}

    def more(self, asked):
        """Return a table or curves that were computed before: rows with their texts, or lines with their drawing.

        `of_draws` names the columns that only draws can tell, which a table at the middles has not.
        """
        name = asked["name"]
        declared = self.calculator.output(name)
        if declared.form == "rows":
            rows = [{key: _plain(cell) for key, cell in row.items()} for row in self.outputs[name]]
            heads = [key for row in rows[:1] for key in row] if self.calculator.vectorised else []
            of_draws = [key for key in heads if key.startswith("chance") or "of draws" in key]
            cells = [[cell_told(one) for one in row.values()] for row in rows]
            return {"rows": rows, "cells": cells, "of_draws": of_draws}
        points = [{**row, "x": _plain(row["x"]), "y": _plain(row["y"])} for row in self.outputs[name]]
        lines = {}
        for point in points:
            x, y = lines.setdefault(str(point["series"]), ([], []))
            x.append(point["x"])
            y.append(point["y"])
        chart = draw(f"live-{name}", declared.label, declared.axes, points)
        if chart is None:
            return {"lines": lines, "svg": "", "legend": []}
        return {"lines": lines, "svg": chart.svg, "legend": [list(pair) for pair in chart.legend]}


def _unit(declared):
    return declared.shown or declared.unit


def _plain(value):
    """Return a number alone, a row as its mean, words and truths as they are."""
    if isinstance(value, np.ndarray):
        return float(np.mean(value))
    return value


def _keeps(side, value, bound):
    return value >= bound if side == "at_least" else value <= bound
