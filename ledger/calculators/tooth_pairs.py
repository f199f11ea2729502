"""Tooth pairs: which tooth counts stand behind ratios, a shaft distance and a module, and how probably, declared."""

from __future__ import annotations

from collections.abc import Mapping
from math import radians
from typing import Any

from ledger.calculators.contract import Calculator, Choice, Number, Output, Rows, Text, Truth, Whole
from ledger.calculators.tooth_pairs_read import (
    ANY_MODULE,
    EITHER,
    MEASURED,
    module_chances,
    read_cases,
    read_distance,
    refuse,
)
from ledger.calculators.tooth_pairs_told import (
    alone_rows,
    curve,
    finding,
    frame_of,
    numbers,
    off_from,
    pair_rows,
    words_of,
)
from ledger.mechanics.standard_modules import BOTH, FIRST
from ledger.mechanics.tooth_pairs import CUT_OFF, ROUNDED, difference_chances, frames, sum_chances
from ledger.mechanics.tooth_sets import weigh_sets

HOW = (MEASURED, ROUNDED, CUT_OFF, EITHER)
MOST_SETS = 10


def compute(
    gears: list[dict[str, Any]],
    distance: Mapping[str, Any],
    module: Mapping[str, Any],
    modules: str,
    least: float,
    most: float,
    same: float,
    spread: float,
    odd: float,
    own: float,
    small: float,
    shift_low: float,
    shift_high: float,
    closeness: float,
    pressure: float,
    helix: float,
    beside: list[dict[str, Any]],
    asked: str,
) -> dict[str, Any]:
    """Return every declared output by name; where nothing fits, those that need a pair are left out."""
    teeth, shifts, angles = (int(least), int(most)), (shift_low, shift_high), (radians(pressure), radians(helix))
    asked = asked.strip() or (gears[0]["gear"].strip() if gears else "")
    refuse(gears, beside, asked, teeth, shifts, distance, module, modules)
    prior, distant = module_chances(module, modules), read_distance(distance)
    if distant is None and len(prior) > 1:
        prior = {0.0: 1.0}
    sums = sum_chances(2 * teeth[0], 2 * teeth[1], small)
    coarser = [gear.get("coarser", 1.0) for gear in gears]
    boxes = frames(
        prior, distant, sums, difference_chances(same, spread), shifts, *angles, tuple(dict.fromkeys(coarser)), own
    )
    cases = read_cases(gears, beside, *teeth, closeness)
    apart = [odd if gear["shared"] else 1.0 for gear in gears]
    found = weigh_sets(boxes, cases, apart, coarser, sums, MOST_SETS)
    given: dict[str, Any] = {
        "fits": found["evidence"] > 0,
        "finding": finding(gears, cases, boxes, found, teeth),
        "set_chance": 0.0,
        "beside_chance": 0.0,
        **{name: [] for name in ("pairs", "sets", "beside", "curves")},
    }
    if not given["fits"]:
        return given | {"pairs": alone_rows(gears, cases, sums, angles)}
    frame = frame_of(found, distant is not None)
    by_path: dict[str, float] = {}
    for place, chance in found["cases"].items():
        by_path[cases[place]["name"]] = by_path.get(cases[place]["name"], 0.0) + chance
    weighed = list(zip(gears, found["pairs"], strict=True))
    path = cases[next(iter(found["cases"]))]["path"]
    return given | {
        **numbers(gears, cases, found, frame, asked),
        "set_chance": found["sets"][0][0],
        "beside_chance": by_path.get(cases[0]["name"], 0.0),
        "pairs": [row for gear, pairs in weighed for row in pair_rows(gear, pairs, frame, angles, path)],
        "sets": [
            {
                "pairs": words_of(gears, pairs),
                "sums of teeth": ", ".join(str(sum(pair)) for pair in pairs),
                "off the stated ratios [%]": off_from(gears, pairs, path),
                "probability [%]": 100 * chance,
            }
            for chance, pairs in found["sets"]
        ],
        "beside": [{"beside the pairs": name, "probability [%]": 100 * chance} for name, chance in by_path.items()],
        "curves": [point for gear, pairs in weighed for point in curve(gear["gear"], pairs)],
    }


TOOTH_PAIRS = Calculator(
    name="tooth-pairs",
    title="Tooth pairs",
    purpose=(
        "Which tooth counts stand behind ratios, wheels counted on photographs, a distance between shafts and a "
        "module: a probability for every pair and for every whole set on one centre distance, and what else lies in "
        "the path."
    ),
    inputs=(
        Rows(
            "gears",
            "Gears",
            (
                Text("gear", "Gear"),
                Number(
                    "ratio",
                    "Ratio over all, input over output speed (0: not known)",
                    low=0.0,
                    high=100.0,
                    default="0",
                    limits=True,
                ),
                Choice("how", "How the ratio is known", HOW, default=MEASURED),
                Whole("decimals", "Decimals printed, where it is printed", 0, 6, default="3"),
                Whole("driver", "Teeth counted on the driving wheel (0: not counted)", 0, 200, default="0"),
                Whole("driven", "Teeth counted on the driven wheel (0: not counted)", 0, 200, default="0"),
                Number("coarser", "Its module over the common one", low=0.2, high=5.0, default="1"),
                Truth("shared", "Its pair lies on the common distance; an idler's does not", default=True),
            ),
        ),
        Number("distance", "Distance of the shafts (0: not known)", "mm", 0.0, 5000.0, default="0 mm", limits=True),
        Number("module", "Normal module (0: not known)", "mm", 0.0, 60.0, default="0 mm", limits=True),
        Choice("modules", "Modules that come into question", (FIRST, BOTH, ANY_MODULE), default=BOTH),
        Whole("least", "Least teeth of a wheel", 6, 200, default="12"),
        Whole("most", "Most teeth of a wheel", 6, 200, default="80"),
        Number("same", "Prior chance that a pair has the common sum of teeth", low=0.0, high=1.0, default="0.3"),
        Whole("spread", "Greatest difference from the common sum", 0, 20, default="9"),
        Number("odd", "Prior chance that a gear lies off the common sum altogether", low=0.0, high=1.0, default="0.02"),
        Number(
            "own",
            "Prior chance that a gear has a module of its own (counts with a distance)",
            low=0.0,
            high=1.0,
            default="0.2",
        ),
        Number("small", "Preference for small sums, k in P(S) ∝ 1/S^k (0: all alike)", low=0.0, high=8.0, default="1"),
        Number("shift_low", "Least sum of profile shifts", low=-2.0, high=2.0, default="-0.5"),
        Number("shift_high", "Greatest sum of profile shifts", low=-2.0, high=3.0, default="1"),
        Number(
            "closeness",
            "Standard deviation of ratios stated without doubt, as a share",
            low=0.0,
            high=0.5,
            above=True,
            default="0.01",
        ),
        Number("pressure", "Normal pressure angle", "°", 10.0, 35.0, default="20 °"),
        Number("helix", "Helix angle", "°", 0.0, 45.0, default="0 °"),
        Rows(
            "beside",
            "What else may lie in the path, one candidate a row (none: nothing does)",
            (
                Text("name", "Name"),
                Whole("driver", "Teeth of its driving wheel", 1, 1000, default="1"),
                Whole("driven", "Teeth of its driven wheel", 1, 1000, default="1"),
                Number("chance", "Prior chance, or a share of it", low=0.0, high=1e6, default="1"),
            ),
            optional=True,
        ),
        Text("asked", "Gear to give numbers of (empty: the first)", default=""),
    ),
    outputs=(
        Output("fits", "Some set of tooth counts fits all that is stated", form="truth"),
        Output("finding", "Finding", form="text"),
        Output("set", "Most probable set, driving wheel first", form="text", optional=True),
        Output("set_chance", "Probability of that set", "", shown="%"),
        Output("driver", "Teeth of the asked gear's driving wheel, most probable", form="whole", optional=True),
        Output("driven", "Teeth of the asked gear's driven wheel, most probable", form="whole", optional=True),
        Output("ratio", "Ratio of that pair", optional=True),
        Output("pair_chance", "Probability of that pair", "", shown="%", optional=True),
        Output("sum", "Common sum of teeth, most probable", form="whole", optional=True),
        Output("sum_chance", "Probability of that sum", "", shown="%", optional=True),
        Output("off_chance", "Probability that a gear lies off the common sum", "", shown="%", optional=True),
        Output("module_found", "Module, most probable", "mm", optional=True),
        Output("module_chance", "Probability of that module", "", shown="%", optional=True),
        Output("distance_found", "Distance of the shafts with that module, mean", "mm", optional=True),
        Output("beside_chance", "Probability of the first candidate beside the pairs", "", shown="%"),
        Output("cut_off_chance", "Probability that the printed ratios were cut off", "", shown="%", optional=True),
        Output("evidence", "Probability of all that is stated [decibans], to compare with rivals", optional=True),
        Output("pairs", "Pairs", form="rows"),
        Output("sets", "Whole sets", form="rows"),
        Output("beside", "What lies beside the pairs", form="rows"),
        Output(
            "curves",
            "Teeth of the driving wheel of every gear",
            form="curves",
            axes=("teeth of the driving wheel", "probability [%]"),
        ),
    ),
    formula=(
        "A box has one module *m*, one common sum of teeth *S*, one centre distance *a* and one path ratio *c* beside "
        "the pairs (*c* = driven over driving teeth of a candidate). Gear *g* has a pair (*z₁*, *z₂*) of the sum *S* "
        "+ *d*.\n\n**Prior.** Modules by what is stated of them, or all of the list alike; *S* between twice the least "
        "and twice the most teeth by P(*S*) ∝ 1/*S^k*; *a* even between the distances that *S* closes with the least "
        "and the greatest sum of profile shifts; *d* = 0 with chance *s*, and ±1 … ±*D* share 1 − *s* in proportion to "
        "1/(1 + |*d*|). With a distance stated, only those *d* count that close *a*, but for a chance *x* that the "
        "gear "
        "has a module of its own, with which any *d* closes it. With the chance *o* a gear has nothing to do with the "
        "common sum, and its own is any, by P(*S*); so has an idler's, always. A gear whose module is stated as *c* "
        "times the common one has *S*/*c*, rounded, in place of *S*. Every split of *S* + *d* into two wheels of the "
        "least teeth or more is alike, *n*(*S*) = *S* − 2·least + 1 of them; those with a wheel above the most are "
        "left "
        "out. So large sums, which have more splits, are each the less likely, and a set of twice the teeth does not "
        "crowd out a small one. Candidates beside by their stated chances.\n\n"
        "**Likelihood.** A measured ratio: its density at *c*·*z₂*/*z₁*. A ratio stated without doubt: normal, with "
        "the stated closeness as standard deviation. A printed one with *n* decimals: 1 where *c*·*z₂*/*z₁* lies in "
        "value ± 0.5·10^−*n* (rounded), or in value to value + 10^−*n* (cut off), else 0; *rounded or cut off* holds "
        "for the whole table at once, each with chance ½. A counted wheel: the stated chance of its count. The "
        "distance: its density at *a*, *a* = (*z₁* + *z₂*)·*m*·cos α_t/(2·cos β·cos α_wt) with inv α_wt = inv α_t + "
        "2·(*x₁* + *x₂*)·tan α_n/(*z₁* + *z₂*).\n\n"
        "**Posterior.** P(*m*, *S*, *a*, *c* | all) ∝ P(*m*)·P(*S*)·∫ p(*a*)·q(*a*) d*a*·P(*c*)·Π_g [(1 − *o*)·Σ_d "
        "P(*d*)·Σ_pairs L/n(*S* + *d*) + *o*·Σ_S P(*S*)·Σ_pairs L/n(*S*)], enumerated; given these the gears are "
        "independent, so pairs and whole sets are weighted sums. "
        "Evidence is 10·log₁₀ of the whole sum.\n\n"
        "Ratios 1.860, 1.420, 1.111, 0.882, 0.745, 0.631, 0.564 on shafts 181 ± 5 mm apart fit 19:53, "
        "23:49, 27:45, 31:41, 34:38, 37:35 and 39:33 behind a step-up of 33 to 22; without it the best seven pairs "
        "are 114 decibans less probable."
    ),
    sources=(
        "Modules: ISO 54:1996, Table 1; below 1 mm DIN 780-1, series 1, from memory.",
        "Centre distance, profile shift, undercut: ISO 21771-1:2024 (as DIN 3960:1987).",
        "All pairs of a lay-shaft box on one distance: Jindal, Machine Design, ex. 29-2, p. 751.",
        "Hunting, by the common divisor: Foiles, Gear Frequencies Using the Euclidean Algorithm.",
        "That sums of teeth differ within one box by several teeth, and that printed ratios are both rounded and cut "
        "off: common practice, no source.",
    ),
    assumptions=(
        "The common sum and the chances of departing from it are a prior: a habit of designers, not a law. As stated "
        "they suit gearboxes whose sums range over 3 to 16 teeth; where all pairs are known to have one sum, raise its "
        "chance and lower the others, and far fewer sets are left.",
        "All gears have one helix angle, and one module unless a row states another or the chance of it applies. With "
        "ratios of two decimals, a distance and no module, several modules fit about as well: state the module.",
        "How far a pair is from the stated ratio is shown for the most probable path beside the pairs.",
        "The most profile shift that would be used is stated as a range of the sum of both wheels, and every distance "
        "that it reaches is as likely; real designs favour small positive sums.",
        "A printed ratio is taken as computed from tooth counts. One that was measured, or misprinted, fits nothing "
        "and is better given with doubt.",
        "Counts, ratios and distance err independently. A ratio computed from a count is no second witness: give one.",
        "What else may lie in the path is only what the candidates name.",
        "Chances of counted teeth reach the calculation through its draws, and so to about half a hundredth.",
        "Undercut is that of a usual rack with an addendum of one module; it is shown and does not weigh.",
        "States that hold less than 10⁻¹⁰ of the whole are left out. Whole sets are searched best first, 400 openings "
        "at most, along pairs with a hundredth or more of the likeliest pair's chance; the finding says so where that "
        "was not enough.",
        "Cost: a hundredth of a second to a second a run for eight printed ratios, up to three for ratios wanted "
        "only to some per cent. Rows and centre distance carry their doubt within one run; other inputs in doubt are "
        "run once for each value, a thousand at most.",
    ),
    cautions=(
        "Probable is not measured: before metal is cut, count the teeth.",
        "Gears draw in fingers, sleeves and hair: guard them, also in models, and turn them by hand first.",
        "For understanding and for models only; not for rating a part that carries people.",
    ),
    compute=compute,
    vectorised=False,
)
