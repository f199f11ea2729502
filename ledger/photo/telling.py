"""What was measured as a quantity that an entry can hold, and whether an entry's quantity is that one."""

from __future__ import annotations

from math import floor, log10

from ledger.photo.declaring import Found
from ledger.quantities.notation import Z95, NotationError, Quantity
from ledger.quantities.quantity import plain

# The half-width of a normal quantity covers 95 %: this many standard uncertainties.
# A quantity agrees when its middle and its half-width are off by no more than this share of the half-width: rounding to
# two digits of the half-width stays within it.
ROUNDING = 0.1
# Chances of whole numbers may be off by so much; they are written in the first of these parts that keeps so much of
# the whole.
CHANCE = 0.02
PARTS, KEPT = (100, 1_000, 10_000), 0.99


def quantity_text(found: Found) -> str:
    """Return what was found in the notation of quantities: `62.1 ± 3.0 mm`, or whole numbers with their chances.

    The half-width has two digits. It covers 95 % of the draws about their mean, on the wider side if they are lopsided.
    """
    if found.chances:
        return _whole(found)
    half = half_width(found)
    digits = max(0, 1 - floor(log10(half))) if half > 0 else 6
    if half > 0 and floor(log10(round(half, digits))) != floor(log10(half)):
        digits = max(0, digits - 1)
    # Tens and hundreds of a half-width are not rounded away; that is told by its uncertainty alone.
    text = f"{found.estimate:.{digits}f} ± {half:.{digits}f}" if half > 0 else plain(found.estimate)
    return f"{text} {found.unit}".strip()


def half_width(found: Found) -> float:
    """Return the half-width that covers 95 %, about the estimate."""
    return max(found.high - found.estimate, found.estimate - found.low, Z95 * found.uncertainty)


def lopsided(found: Found) -> bool:
    """Return whether the interval reaches clearly farther to one side, so that ± tells it only roughly."""
    below, above = found.estimate - found.low, found.high - found.estimate
    return not found.chances and max(below, above) > 1.25 * max(min(below, above), 0.0) > 0


def agrees(found: Found, quantity: Quantity) -> bool:
    """Return whether an entry's quantity is what was found, but for rounding."""
    if found.chances:
        chances = quantity.chances or {quantity.mean: 1.0}
        numbers = {*chances, *found.chances}
        alike = all(abs(chances.get(one, 0.0) - found.chances.get(int(one), 0.0)) <= CHANCE for one in numbers)
        return quantity.shape in ("whole", "exact") and quantity.unit == "" and alike
    try:
        stated = quantity.to(found.unit)
    except NotationError:
        return False
    half = half_width(found)
    if stated.shape != ("normal" if half > 0 else "exact"):
        return False
    off = max(abs(stated.mean - found.estimate), abs(Z95 * stated.std - half))
    return off <= max(ROUNDING * half, 1e-9 * abs(found.estimate))


def _whole(found: Found) -> str:
    """Return whole numbers with chances that sum to one, in hundredths, or finer where those would leave much out."""
    for parts in PARTS:
        kept = {number: chance for number, chance in sorted(found.chances.items()) if 2 * parts * chance >= 1}
        if sum(kept.values()) >= KEPT:
            break
    whole = sum(kept.values())
    exact = {number: parts * chance / whole for number, chance in kept.items()}
    shares = {number: floor(share) for number, share in exact.items()}
    # What rounding down leaves goes to those that lost most by it.
    for number in sorted(exact, key=lambda one: shares[one] - exact[one])[: parts - sum(shares.values())]:
        shares[number] += 1
    shown = {number: share for number, share in shares.items() if share > 0}
    if len(shown) == 1:
        return str(next(iter(shown)))
    return ", ".join(f"{number}: {plain(share / parts)}" for number, share in shown.items())
