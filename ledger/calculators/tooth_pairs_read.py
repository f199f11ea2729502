"""What is stated about a box, read for weighing: faults, modules, the distance, and the tables of every gear."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from ledger.calculators.stated import counted, density_of, is_exact, near
from ledger.mechanics import tooth_pairs as mechanics
from ledger.mechanics.standard_modules import CHOICES, modules_between
from ledger.mechanics.tooth_sets import by_sum

MEASURED, EITHER = "measured or wanted", "rounded or cut off"
ANY_MODULE = "as stated"


def refuse(
    gears: Any, beside: Any, asked: str, teeth: Any, shifts: Any, distance: Any, module: Any, modules: str
) -> None:
    """Raise ValueError naming everything that cannot be weighed, all at once."""
    low, high = teeth
    names = [gear["gear"].strip() for gear in gears]
    faults = [
        f"Gear {name} stands in {names.count(name)} rows." for name in dict.fromkeys(names) if names.count(name) > 1
    ]
    if asked not in names:
        faults.append(f"There is no gear {asked!r} to give numbers of; there are {', '.join(names)}.")
    if low > high:
        faults.append(f"The least tooth count {low} is above the most, {high}.")
    if shifts[0] > shifts[1]:
        faults.append(f"The least profile shift sum {shifts[0]:g} is above the greatest, {shifts[1]:g}.")
    if modules == ANY_MODULE and not is_exact(module):
        faults.append("A module in doubt needs a list to choose from: ISO 54 series I, or series I and II.")
    if modules == ANY_MODULE and module["nominal"] == 0 and not (is_exact(distance) and distance["nominal"] == 0):
        faults.append(
            "A centre distance says nothing about teeth without a module: state it, or a list to choose from."
        )
    for gear in gears:
        ratio, name = gear["ratio"], gear["gear"].strip() or "A gear"
        if gear["how"] != MEASURED and not is_exact(ratio):
            faults.append(f"{name}: a printed ratio is stated as printed, without doubt.")
        elif gear["how"] != MEASURED and ratio["nominal"] <= 0:
            faults.append(f"{name}: a printed ratio above zero is missing.")
        elif ratio["low"] <= 0 and not is_exact(ratio):
            faults.append(f"{name}: the ratio's range reaches zero.")
        elif ratio["nominal"] == 0 and counted(gear["driver"]) is None and counted(gear["driven"]) is None:
            faults.append(f"{name}: neither a ratio nor a tooth count is stated.")
    for row in beside:
        if np.ndim(row["driver"]) or np.ndim(row["driven"]) or np.ndim(row["chance"]):
            faults.append(f"{row['name']}: state each candidate in a row of its own, without doubt.")
    if beside and not faults and sum(row["chance"] for row in beside) <= 0:
        faults.append("All that may lie beside the pairs has the chance zero.")
    if faults:
        raise ValueError(" ".join(faults))


def module_chances(module: Mapping[str, Any], modules: str) -> dict[float, float]:
    """Return the prior chance by module; module 0 stands for an unknown one."""
    if is_exact(module) and module["nominal"] > 0:
        return {float(module["nominal"]): 1.0}
    if modules == ANY_MODULE:
        return {0.0: 1.0}
    if is_exact(module):
        return dict.fromkeys(CHOICES[modules], 1.0 / len(CHOICES[modules]))
    low, high, density = density_of(module)
    near_ones = modules_between(low, high, modules)
    weights = density(list(near_ones)) if near_ones else np.zeros(0)
    if not weights.sum() > 0:
        raise ValueError(
            f"No standard module of {modules} lies where the module is stated; widen it, or take both series."
        )
    return {one: float(weight / weights.sum()) for one, weight in zip(near_ones, weights, strict=True) if weight > 0}


def read_distance(distance: Mapping[str, Any]) -> dict[str, Any] | None:
    """Return the centre distance as `frames` takes it; None for one that is not known."""
    if is_exact(distance):
        return {"value": float(distance["nominal"])} if distance["nominal"] > 0 else None
    low, high, density = density_of(distance)
    return {"low": max(low, 0.0), "high": high, "density": density}


def read_cases(gears: Any, beside: Any, low: int, high: int, closeness: float) -> list[dict[str, Any]]:
    """Return what else may lie in the path, and how ratios were printed, with the tables of every gear under it."""
    paths = [("nothing", 1.0, 1.0)]
    if beside:
        whole = sum(row["chance"] for row in beside)
        paths = [(row["name"], row["driven"] / row["driver"], row["chance"] / whole) for row in beside]
    either = any(gear["how"] == EITHER for gear in gears)
    printings = (mechanics.ROUNDED, mechanics.CUT_OFF) if either else ("",)
    cases = []
    for name, path, prior in paths:
        for printing in printings:
            tables = []
            for gear in gears:
                how = printing if gear["how"] == EITHER else gear["how"]
                stated = _stated(gear, how, closeness)
                wheels = (counted(gear["driver"]), counted(gear["driven"]))
                tables.append(by_sum(mechanics.allowed_pairs(stated, path, low, high, *wheels), low))
            chance = prior / len(printings)
            cases.append({"name": name, "path": path, "printing": printing, "prior": chance, "tables": tables})
    return cases


def _stated(gear: Mapping[str, Any], how: str, closeness: float) -> dict[str, Any] | None:
    ratio = gear["ratio"]
    if ratio["nominal"] == 0 and is_exact(ratio):
        return None
    if how != MEASURED:
        try:
            low, high = mechanics.printed_range(float(ratio["nominal"]), gear["decimals"], how)
        except ValueError as error:
            raise ValueError(f"{gear['gear']}: {error}") from error
        return {"low": low, "high": high, "density": None}
    low, high, density = near(float(ratio["nominal"]), closeness) if is_exact(ratio) else density_of(ratio)
    return {"low": low, "high": high, "density": density}
