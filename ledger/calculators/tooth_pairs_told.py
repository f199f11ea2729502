"""Weighed pairs and sets of tooth counts, told: rows, numbers, curves and words."""

from __future__ import annotations

from math import log10
from typing import Any

from ledger.mechanics import tooth_pairs as mechanics
from ledger.mechanics.gear_geometry import profile_shift_sum
from ledger.mechanics.signs import signed
from ledger.quantities import percents

LEAST_SHOWN, MOST_PAIRS = 0.005, 8


def finding(gears: Any, cases: Any, boxes: Any, found: Any, teeth: tuple[int, int]) -> str:
    """Return the outcome in words: the two most probable sets, or what stands in the way of any."""
    if found["evidence"] > 0:
        sets = found["sets"]
        words = f"Most probable: {words_of(gears, sets[0][1])}, {percents.chance(sets[0][0])}"
        words += f"; next {words_of(gears, sets[1][1])}, {percents.chance(sets[1][0])}." if len(sets) > 1 else "."
        return words if found["certain"] else f"{words} So many sets are alike that a likelier one may be missing."
    below = " Pairs are listed for each gear alone."
    none = [gear["gear"] for place, gear in enumerate(gears) if not any(case["tables"][place] for case in cases)]
    if none:
        return (
            f"Nothing fits: no pair of permitted wheels gives what is stated for {', '.join(none)}. Widen the least "
            f"and "
            f"most teeth ({teeth[0]} to {teeth[1]}), give the ratio fewer decimals or more doubt, or name what else "
            f"may "
            f"lie in the path.{below}"
        )
    if not boxes:
        return (
            "Nothing fits: no sum of permitted teeth closes the shaft distance with the profile shifts permitted. "
            "Widen "
            f"the least and greatest sum of profile shifts, the modules, or the distance.{below}"
        )
    sums = {box["sum"] for box in boxes}
    able, whole = [], []
    for place, gear in enumerate(gears):
        having = sorted({total for case in cases for total in case["tables"][place]})
        shown = ", ".join(map(str, having[:12])) + (" …" if len(having) > 12 else "")
        able.append(f"{gear['gear']} needs {shown}")
        whole.append(having)
    apart = max(max(min(abs(a - b) for a in one for b in other) for other in whole) for one in whole)
    return (
        "Nothing fits: every gear alone has pairs, but no common distance holds them together. Sums of teeth: "
        f"{'; '.join(able)}; the distance allows {min(sums)} to {max(sums)}. Widen the greatest difference from the "
        f"common sum (two gears are at least {apart} apart), or state a chance above zero that a gear lies off the "
        f"common sum.{below}"
    )


def frame_of(found: Any, measured: bool) -> dict[str, float]:
    """Return the most probable module and, where a distance is stated, its mean under that module."""
    module = next(iter(found["modules"]))
    boxes = [(share, box) for share, box in found["boxes"] if box["module"] == module]
    whole = sum(share for share, _ in boxes)
    distance = sum(share * box["distance"] for share, box in boxes) / whole if measured and whole > 0 else 0.0
    return {"module": module, "distance": distance}


def numbers(gears: Any, cases: Any, found: Any, frame: Any, asked: str) -> dict[str, Any]:
    """Return the outputs that are numbers, those of the asked gear among them."""
    place = [gear["gear"].strip() for gear in gears].index(asked)
    pair, chance = next(iter(found["pairs"][place].items()))
    total, total_chance = next(iter(found["sums"].items()))
    given: dict[str, Any] = {
        "set": words_of(gears, found["sets"][0][1]),
        "driver": pair[0],
        "driven": pair[1],
        "ratio": pair[1] / pair[0],
        "pair_chance": chance,
        "sum": total,
        "sum_chance": total_chance,
        "off_chance": found["off"],
        "evidence": 10.0 * log10(found["evidence"]),
    }
    if frame["module"] > 0:
        given |= {"module_found": frame["module"], "module_chance": found["modules"][frame["module"]]}
    if frame["distance"] > 0:
        given["distance_found"] = frame["distance"]
    if any(case["printing"] for case in cases):
        cut = (chance for place, chance in found["cases"].items() if cases[place]["printing"] == mechanics.CUT_OFF)
        given["cut_off_chance"] = sum(cut)
    return given


def words_of(gears: Any, pairs: Any) -> str:
    """Return a whole set in words: `1 19:53, 2 23:49`, the driving wheel first."""
    return ", ".join(f"{gear['gear'].strip()} {pair[0]}:{pair[1]}" for gear, pair in zip(gears, pairs, strict=True))


def _off(gear: Any, pair: tuple[int, int], path: float) -> float | None:
    stated = float(gear["ratio"]["nominal"])
    return 100.0 * (path * pair[1] / pair[0] / stated - 1.0) if stated > 0 else None


def off_from(gears: Any, pairs: Any, path: float) -> str:
    """Return how far the ratios of a set lie from those stated, in per cent with their sign, gear by gear."""
    found = (_off(gear, pair, path) for gear, pair in zip(gears, pairs, strict=True))
    return ", ".join("not stated" if one is None else signed(one, ".2f") for one in found)


def alone_rows(gears: Any, cases: Any, sums: dict[int, float], angles: tuple[float, float]) -> list[dict[str, Any]]:
    """Return the pairs of each gear by itself, where no whole set fits."""
    rows: list[dict[str, Any]] = []
    for place, gear in enumerate(gears):
        alone: dict[tuple[int, int], float] = {}
        for case in cases:
            for total, held in case["tables"][place].items():
                for pair, value in held:
                    alone[pair] = alone.get(pair, 0.0) + case["prior"] * sums[total] * value
        whole = sum(alone.values())
        ranked = sorted(((pair, value / whole) for pair, value in alone.items()), key=lambda one: (-one[1], one[0]))
        rows += pair_rows(gear, dict(ranked), {"distance": 0.0}, angles, cases[0]["path"])
    return rows


def pair_rows(
    gear: Any, pairs: Any, frame: Any, angles: tuple[float, float], path: float = 1.0
) -> list[dict[str, Any]]:
    """Return the most probable pairs of a gear, with what a person wants to know of each."""
    rows: list[dict[str, Any]] = []
    for (first, second), chance in list(pairs.items())[:MOST_PAIRS]:
        if chance < LEAST_SHOWN and rows:
            break
        meshes, divisor = mechanics.meetings(first, second)
        off = _off(gear, (first, second), path)
        shift, closes = _closing(gear, first, second, frame, angles)
        rows.append(
            {
                "gear": gear["gear"].strip(),
                "driving": first,
                "driven": second,
                "ratio": second / first,
                "off the stated ratio [%]": "not stated" if off is None else off,
                "probability [%]": 100 * chance,
                "sum": first + second,
                "common divisor": divisor,
                "same teeth meet every": f"{meshes} meshes{', hunting' if divisor == 1 else ''}",
                "closes with x₁ + x₂": closes,
                "undercut": mechanics.undercut_words(first, second, shift, *angles),
            }
        )
    return rows


def _closing(gear: Any, first: int, second: int, frame: Any, angles: tuple[float, float]) -> tuple[float | None, str]:
    """Return the shift sum that closes the mean distance, also in words; a pair may mesh at other distances only."""
    if not gear["shared"] or frame["distance"] <= 0:
        return None, ""
    try:
        shift = float(
            profile_shift_sum(frame["distance"], frame["module"] * gear.get("coarser", 1.0), first, second, *angles)
        )
    except ValueError:
        return None, f"not at {frame['distance']:.4g} mm"
    return shift, signed(shift, ".3f")


def curve(gear: str, pairs: Any) -> list[dict[str, Any]]:
    """Return the probability of every tooth count of a gear's driving wheel, as points of a curve."""
    chances: dict[int, float] = {}
    for (first, _), chance in pairs.items():
        chances[first] = chances.get(first, 0.0) + chance
    seen = [first for first, chance in chances.items() if chance > 1e-4]
    return [
        {"series": gear.strip(), "x": float(teeth), "y": 100 * chances.get(teeth, 0.0)}
        for teeth in range(min(seen) - 1, max(seen) + 2)
    ]
