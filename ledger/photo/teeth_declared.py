"""Ways of measuring gear wheels: how many teeth, and of what module; declared."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ledger.photo.declaring import Found, Known, Method, Role, Stated, Use, told
from ledger.photo.lengths_declared import FOR_MODELS, LENS, WHOLE_PICTURE
from ledger.photo.rims_declared import AXIS, CAMERA, FIT, POSE, RIM_HINT, ROUND, rim_of, view_of
from ledger.photo.round_part import diameter
from ledger.photo.straightening import over_lenses
from ledger.photo.tooth_count import count_teeth
from ledger.photo.tooth_marks import LEAST_TEETH, MOST_TEETH, Counted, Marks
from ledger.photo.tooth_module import module_of
from ledger.photo.values import measured
from ledger.quantities import percents
from ledger.quantities.notation import Quantity

UNMARKED = "all marked teeth are neighbours"
# A chance at the end of the range that is so large a share of the greatest has not fallen off there.
CUT_OFF = 0.1


def _count(use: Use) -> Found:
    marked = use.points["teeth"]
    rim = rim_of(use, "rim") if "rim" in use.points else rim_of(use, "teeth")
    hidden = tuple(_hidden(one) for one in _each(use.known.get("hidden", ())))
    marks = Marks(
        marked,
        hidden,
        use.quantity("slip").mean,
        use.quantity("slip-counted").mean,
        use.quantity("placing").mean,
    )
    counted = count_teeth(rim, marks, view_of(use), _range(use.quantity("range")))
    found = _counted(counted, use.count)
    alike = use.quantity("range").shape not in ("whole", "exact")
    return replace(found, notes=(*found.notes, *_cut_off(counted))) if alike else found


def _each(stated: Stated) -> tuple[Quantity | str, ...]:
    return stated if isinstance(stated, tuple) else (stated,)


def _hidden(one: Quantity | str) -> int | None:
    return None if isinstance(one, str) else round(one.mean)


def _range(stated: Quantity) -> Quantity | tuple[int, int]:
    if stated.shape in ("whole", "exact"):
        return stated
    around = (stated.mean - 4 * stated.std, stated.mean + 4 * stated.std)
    low, high = around if stated.shape == "normal" else stated.support
    return max(round(low), LEAST_TEETH), min(round(high), MOST_TEETH)


def _counted(counted: Counted, count: int) -> Found:
    """Return a count as what a method found; its draws are the numbers as often as they are probable."""
    numbers = np.array(sorted(counted.chances), dtype=float)
    shares = np.array([counted.chances[int(number)] for number in numbers])
    at = (np.arange(count) + 0.5) / count
    drawn = numbers[np.minimum(np.searchsorted(np.cumsum(shares), at), numbers.size - 1)]
    notes = tuple(
        f"Between mark {slip.stretch} and mark {slip.stretch + 1} there are probably {slip.pitches} pitches, not "
        f"{slip.stated} as stated (chance {percents.chance(slip.chance)}): look whether a tooth was missed or "
        "marked twice."
        for slip in counted.slips
    )
    return told(measured(counted.label, "", drawn), counted.chances, notes)


def _cut_off(counted: Counted) -> tuple[str, ...]:
    """Return a note where the range stated ends before the chances do: there the range speaks, not the marks."""
    greatest = max(counted.chances.values())
    ends = sorted({min(counted.chances), max(counted.chances)})
    open_ends = [end for end in ends if counted.chances[end] >= CUT_OFF * greatest and len(counted.chances) > 1]
    return tuple(
        f"The range stated ends at {end} teeth, whose chance is still "
        f"{percents.chance(counted.chances[end] / greatest)} of the greatest: the marks do not shut out what lies "
        "beyond. State a wider range, or why it ends there."
        for end in open_ends
        if end not in (LEAST_TEETH, MOST_TEETH)
    )


TOOTH_COUNT = Method(
    name="tooth-count",
    title="Number of teeth",
    purpose="How many teeth a wheel has, from teeth marked along the visible part of its rim.",
    roles=(
        Role("teeth", "Teeth, or spaces between teeth", 2, 200, True, "All of them tips, or all of them spaces"),
        Role("rim", "Points of the circle they lie on", 0, 200, hint="Where the marks are fewer than five; else the "
             "marks serve"),
    ),
    knowns=(
        Known(
            "hidden",
            "Teeth between each mark and the next that are not marked",
            "",
            hint="0 for neighbours; of n teeth counted by eye, the marked ones among them, n - 2",
            otherwise=UNMARKED,
            words=("unknown",),
            of="teeth",
            each="gap",
            whole=True,
        ),
        Known("range", "Numbers that are possible", "", "8..120", "All alike, or with their chances"),
        Known("slip", "Chance that marked neighbours are none", "", "0.02", "A tooth missed, or one marked twice"),
        Known("slip-counted", "The same for teeth counted by eye", "", "0.1"),
        Known("placing", "How far a mark may be off its tooth, over the pitch", "", "0.03", "Besides the pick itself"),
        *CAMERA,
    ),
    unit="",
    outputs=(),
    formula="*P*(*z*) ∝ prior(*z*) · Π *P*(stated pitches) · *N*(errors), the marks carried to the plane of the rim, "
    "where the teeth stand evenly: *α_i* = *α₀* + *K_i* 2π/*z*.",
    assumptions=(
        "The teeth stand evenly round the wheel, and all marks are of one kind.",
        "The rim is of the same face of the wheel as the marks.",
        ROUND,
        WHOLE_PICTURE,
    ),
    cautions=(FOR_MODELS,),
    sources=(POSE, FIT, "Bayes' rule over whole numbers; the chances of slips are ours."),
    compute=lambda use: over_lenses(use, _count),
    whole=True,
)  # fmt: skip


def _module(use: Use) -> Found:
    tip = diameter(
        rim_of(use, "rim"),
        rim_of(use, "reference"),
        use.quantity("reference"),
        view_of(use),
        use.quantity("depth"),
        use.word("arrangement"),
        "tip diameter",
    )
    found = module_of(tip, use.quantity("teeth"), use.quantity("addendum"), use.quantity("shift"))
    likely = sorted(found.chances.items(), key=lambda one: -one[1])[:3]
    shown = ", ".join(f"{module:g} mm {percents.chance(chance)}" for module, chance in likely)
    note = f"Of standard modules the likeliest: {shown}; none of them: {percents.chance(found.neither)}."
    return told(found.module, {}, (note,))


TOOTH_MODULE = Method(
    name="tooth-module",
    title="Module of a wheel",
    purpose="The module of a spur wheel from its tip circle beside a known rim, and its number of teeth.",
    roles=(Role("rim", "Points of the tip circle", 5, 200, hint=RIM_HINT), AXIS[1]),
    knowns=(
        Known("reference", "Diameter of the known rim", "mm", hint="Of the very edge that is marked"),
        Known("teeth", "Number of teeth", "", hint="As counted, with its chances"),
        Known(
            "depth", "How far the tip circle lies behind the known rim", "mm", "0 mm",
            "Along the axis; in front is below zero; 0 for rims in one plane",
        ),
        Known("addendum", "Addendum over module", "", "0.8..1..1.25", "Stub teeth 0.8, tall ones up to 1.25"),
        Known("shift", "Profile shift over module", "", "-0.5..0.1..0.6", "Tip shortening taken off"),
        Known(
            "arrangement", "How the two rims stand to each other", None, "coaxial",
            "On one axis, or side by side in one plane", words=("coaxial", "coplanar"),
        ),
        *CAMERA,
    ),
    unit="mm",
    outputs=(
        ("diameter", "the tip diameter"),
        ("count", "the number of teeth"),
        ("addendum and shift", "what is not known of the teeth"),
        LENS,
    ),
    formula="*m* = *d_a* / (*z* + 2 (*h_a* + *x*)); how probable each standard module is stands beside it.",
    assumptions=("A spur wheel; of a helical one it is the transverse module.", ROUND, WHOLE_PICTURE),
    cautions=(FOR_MODELS,),
    sources=("ISO 21771-1:2024 (tip diameter); ISO 54:1996, Table 1 (standard modules).", POSE),
    compute=lambda use: over_lenses(use, _module),
)  # fmt: skip
