"""A lens as a person states it, held against what a lens may be, and read."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import fields

from ledger.photo.declaring import Method
from ledger.photo.lens import UNKNOWN_ASIDE, UNKNOWN_BEND, BrownLens, Lens, Straight, UnknownLens, lens_faults
from ledger.photo.wrong import Wrong, unknown
from ledger.quantities.notation import NotationError, Quantity, parse

One = Quantity | str | int | float
LensGiven = str | Mapping[str, One] | Lens | None

BROWN = tuple(one.name for one in fields(BrownLens))
BROWN_NEEDED = BROWN[:4]
WIDENED = ("bend", "aside")
LENS_WORDS = ("none", "unknown")


def lens_of(given: LensGiven, size: tuple[float, float]) -> Lens:
    """Return a lens as it is stated.

    "none"         the picture has no distortion, or was corrected
    "unknown"      nothing is known of it; None is the same
    fx, fy, cx …   the Brown terms, numbers each, of a calibrated one
    bend, aside    what is known of one that was not calibrated
    """
    if isinstance(given, Straight | BrownLens | UnknownLens):
        return given
    if given == "none":
        return Straight()
    if given is None or isinstance(given, str):
        return UnknownLens(*size)
    if set(given) <= set(WIDENED):
        bend, aside = given.get("bend", UNKNOWN_BEND), given.get("aside", UNKNOWN_ASIDE)
        return UnknownLens(*size, parse(bend), parse(aside))
    return BrownLens(**{name: parse(one).mean for name, one in given.items()})


def lens_wrongs(method: Method, given: LensGiven, size: tuple[float, float] | None) -> Iterator[Wrong]:
    """Yield everything wrong with a stated lens. `size` of the picture [px], where it is known."""
    if given is None:
        return
    if not method.lens:
        yield Wrong("lens", "a lens", f"none, for {method.name} listens", "Take it out.")
    elif isinstance(given, str):
        if given not in LENS_WORDS:
            remedy = "Write `none` for a corrected picture, `unknown` if nothing is known of the camera."
            yield Wrong("lens", f"`{given}`", f"{' or '.join(LENS_WORDS)}, or its terms", remedy)
    elif isinstance(given, Mapping):
        yield from _terms(given, size)
    else:
        yield from (Wrong("lens", one, "a lens", "State it anew.") for one in lens_faults(given))


def _terms(given: Mapping[str, One], size: tuple[float, float] | None) -> Iterator[Wrong]:
    brown = not set(given) & set(WIDENED)
    missing = [name for name in BROWN_NEEDED if brown and name not in given]
    if missing:
        yield Wrong("lens", f"no {', '.join(missing)}", "focal lengths and middle in pixels", "Copy them as well.")
    single = [wrong for name, one in given.items() for wrong in _term(name, one, brown)]
    yield from single
    if not missing and not single:
        for fault in lens_faults(lens_of(given, size or (1.0, 1.0))):
            what, _, rest = fault.partition("; expected ")
            expected, _, remedy = rest.partition(". ")
            yield Wrong("lens", what.partition("given ")[2] or what, expected, remedy)


def _term(name: str, one: One, brown: bool) -> Iterator[Wrong]:
    allowed = BROWN if brown else WIDENED
    if name not in allowed:
        yield unknown(f"lens.{name}", name, list(allowed), "a term of a lens")
        return
    try:
        quantity = parse(one)
    except NotationError as error:
        yield Wrong(f"lens.{name}", error.given, error.expected, error.remedy)
        return
    if quantity.unit or (brown and quantity.shape != "exact"):
        expected = "a number, as the calibration prints it" if brown else "a quantity without a unit"
        yield Wrong(f"lens.{name}", f"`{quantity.text}`", expected, "Write the number alone.")
