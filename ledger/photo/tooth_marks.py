"""Teeth marked on a photograph, and a number of teeth with its doubt."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ledger.photo.circle_pose import View
from ledger.photo.values import Pick, pick_faults, refuse
from ledger.quantities.notation import Quantity, parse
from ledger.quantities.quantity import plain

LEAST_TEETH, MOST_TEETH, MOST_MARKS = 4, 400, 200
# Marks less sure than this share of a pitch cannot be told to one tooth or the next.
UNCLEAR = 0.2


@dataclass(frozen=True)
class Marks:
    """Teeth, or spaces between teeth, marked in order along a rim; all of them tips, or all of them spaces.

    picks    the marks, clockwise or anticlockwise, at most one turn
    hidden   teeth between each mark and the next that are not marked: 0 for neighbours, None where it is not known;
             empty for all neighbours. A count by eye over an arc is two marks with the teeth between them: of n teeth
             counted, the marked ones among them, n - 2 are hidden
    slip     chance that neighbours are none: a tooth was missed, or one marked twice
    slip_counted  the same for a stretch with hidden teeth that were counted by eye; a slip of two has its square
    placing  standard uncertainty of where the middle of a tooth is, over the pitch, besides that of the pick: tooth
             form and shadows seen from aside
    """

    picks: tuple[Pick, ...]
    hidden: tuple[int | None, ...] = ()
    slip: float = 0.02
    slip_counted: float = 0.1
    placing: float = 0.03


@dataclass(frozen=True)
class Slip:
    """A stretch between two marks that probably holds another number of pitches than stated.

    stretch  its number, 1 from the first to the second mark
    stated   pitches stated; pitches as they probably are; chance that they are not as stated
    """

    stretch: int
    stated: int
    pitches: int
    chance: float


@dataclass(frozen=True)
class Counted:
    """A whole number of teeth with its doubt.

    chances   by number of teeth, those below 0.001 left out, summing to one
    likeliest the most probable number
    held      fewest numbers that hold 95 %, in order
    slips     stretches that probably hold another number of pitches than stated
    """

    label: str
    chances: Mapping[int, float]
    likeliest: int
    held: tuple[int, ...]
    slips: tuple[Slip, ...] = ()

    @property
    def text(self) -> str:
        """Return it in the notation of whole numbers in doubt, `30: 0.2, 31: 0.7, 32: 0.1`; one sure number alone."""
        if len(self.chances) == 1:
            return str(self.likeliest)
        return ", ".join(f"{teeth}: {plain(chance)}" for teeth, chance in self.chances.items())

    @property
    def quantity(self) -> Quantity:
        """Return it as a quantity."""
        return parse(self.text)


def refuse_marks(marks: Marks, view: View, prior: Quantity | tuple[int, int]) -> None:
    """Raise PhotoRefused with everything that is wrong with marks, view and the numbers that are possible."""
    faults = view.faults() + pick_faults(marks.picks, "mark")
    if not 2 <= len(marks.picks) <= MOST_MARKS:
        faults.append(f"marks: given {len(marks.picks)}; expected 2 to {MOST_MARKS}. Mark teeth one after another.")
    if marks.hidden and len(marks.hidden) != len(marks.picks) - 1:
        faults.append(
            f"hidden teeth: given {len(marks.hidden)} numbers for {len(marks.picks)} marks; expected one fewer than "
            "marks, one for each stretch between two of them."
        )
    for number, one in enumerate(marks.hidden, 1):
        if one is not None and not 0 <= one <= MOST_TEETH:
            faults.append(f"stretch {number}: given {one} hidden teeth; expected 0 to {MOST_TEETH}. Count them again.")
    if len(marks.picks) > 1 and all(one is None for one in marks.hidden) and marks.hidden:
        faults.append("hidden teeth: given none that is known; expected one stretch at least. Mark two neighbours.")
    for what, chance in (("slip", marks.slip), ("slip of a count", marks.slip_counted)):
        if not 0 <= chance <= 0.5:
            faults.append(f"{what}: given {chance:g}; expected a chance of 0 to 0.5. Usual are 0.02 and 0.1.")
    if not 0 <= marks.placing <= UNCLEAR:
        faults.append(f"placing: given {marks.placing:g}; expected 0 to {UNCLEAR:g} of a pitch. 0.03 is usual.")
    if isinstance(prior, tuple):
        if not LEAST_TEETH <= prior[0] <= prior[1] <= MOST_TEETH:
            faults.append(f"teeth: given {prior[0]} to {prior[1]}; expected a range in {LEAST_TEETH} to {MOST_TEETH}.")
    elif prior.shape not in ("whole", "exact") or not all(
        teeth == int(teeth) and LEAST_TEETH <= teeth <= MOST_TEETH for teeth in prior.numbers[::2]
    ):
        faults.append(f"teeth: given `{prior.text}`; expected whole numbers of {LEAST_TEETH} to {MOST_TEETH}, such as "
                      "`30: 0.2, 31: 0.7, 32: 0.1`.")  # fmt: skip
    refuse(faults)


def prior_chances(prior: Quantity | tuple[int, int]) -> dict[int, float]:
    """Return the chance beforehand of each number of teeth; those of a range are all alike."""
    if isinstance(prior, tuple):
        return dict.fromkeys(range(prior[0], prior[1] + 1), 1 / (prior[1] - prior[0] + 1))
    if prior.shape == "exact":
        return {int(prior.numbers[0]): 1.0}
    return {int(teeth): chance for teeth, chance in prior.chances.items() if chance > 0}
