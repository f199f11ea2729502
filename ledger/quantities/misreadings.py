"""What people write instead of the notation, and how to mend it."""

from __future__ import annotations

import re

from ledger.quantities.refusal import NotationError

_EXPECTED = "a quantity such as `62 ± 3 mm`, `55..68 mm` or `62 mm`"
_DIGITS = r"[0-9]+(?:\.[0-9]+)?"

_PLUS_MINUS = r"(?:\+\s*[-–—\u2212]|\+\s*/\s*[-–—\u2212]|[-–—\u2212]\s*/?\s*\+|\+_|\+\\-)"


def _offer(found: re.Match[str] | None, form: str) -> str:
    """Return the sentence that offers what was found in its right form, or the usual example."""
    return "Write `62 ± 3 mm`." if found is None else f"Did you mean `{form.format(*found.groups())}`?"


def of(given: str, text: str) -> NotationError:
    """Return the refusal of a text that has none of the forms."""
    if not text.strip():
        return NotationError("an empty text", _EXPECTED, "Write the number and its unit, or leave the field out.")
    if re.search(r"(?i)(?<![a-z])(nan|inf|infinity)(?![a-z])", text):
        return NotationError(given, "a finite number", "Leave the field out if the number is not known.")
    if re.search(r"[0-9],[0-9]", text):
        return NotationError(given, "a decimal point and no grouping", "Write `62.5` for 62,5 and `10000` for 10,000.")
    if "…" in text or "..." in text:
        return NotationError(given, "two points between the ends of a range", "Write `55..68 mm`.")
    if re.search(r"(?<![0-9.])\.[0-9]", text) or re.search(r"[0-9]\.(?![0-9.])", text):
        return NotationError(given, "digits on both sides of a decimal point", "Write `0.5` for .5 and `5.0` for 5.")
    if re.search(r"\d\s*%?\s*[a-zA-Zµ°·/²³]+\s*±", text) or text.startswith("("):
        twice = re.fullmatch(rf"({_DIGITS})\s*([^\d\s±]+)\s*±\s*({_DIGITS})\s*(\2)?", text)
        return NotationError(given, "the unit once, at the end", _offer(twice, "{0} ± {2} {1}"))
    if "±" in text:
        remedy = "Write `62 ± 3 mm` or `62 ± 3 mm (k=2)`."
        return NotationError(given, "a number on each side of ±, then the unit", remedy)
    if ".." in text:
        remedy = "Write `55..68 mm` or `55..61..68 mm`."
        return NotationError(given, "two or three numbers with `..` between, then the unit", remedy)
    return NotationError(given, _EXPECTED, "Begin with the number, then its unit.")


def of_unit(given: str, text: str, unit: str, refused: NotationError) -> NotationError:
    """Return the refusal of what stands after the numbers: as another misreading, or as a unit."""
    twofold = re.fullmatch(rf"(-?{_DIGITS})\s*([^\d\s+/-]*)\s*{_PLUS_MINUS}\s*({_DIGITS})\s*(.*)", text)
    if twofold is not None:
        unit_once = twofold[4] or twofold[2]
        mended = f"{twofold[1]} ± {twofold[3]} {unit_once}".strip()
        return NotationError(given, "the sign `±`, or `+/-`", f"Did you mean `{mended}`?")
    hyphen = re.fullmatch(rf"({_DIGITS})\s*[-–—]\s*({_DIGITS})\s*(.*)", text)
    if hyphen is not None and float(hyphen[1]) < float(hyphen[2]):
        mended = f"{hyphen[1]}..{hyphen[2]} {hyphen[3]}".strip()
        return NotationError(given, "two points between the ends of a range", f"Did you mean `{mended}`?")
    if unit[0] in ",.…":
        return of(given, text)
    if unit[0] == "/":
        return NotationError(given, "a number, then its unit", f"Write the unit as `1{unit}` after the number.")
    if re.match(r"[0-9]{3}(?![0-9])", unit):
        return NotationError(given, "digits without grouping", "Write `10000` for 10 000.")
    if re.search(r"\(\s*k\b", unit):
        expected = "a coverage factor after ±, such as `(k=2)`"
        return NotationError(given, expected, "Write `62 ± 3 mm (k=2)`; it has no meaning without ±.")
    if re.match(r"[+-]", unit):
        return NotationError(given, "both limits of a drawing, or a unit", "Write `20 +0/-0.05 mm` or `20 ± 0.05 mm`.")
    return NotationError(given, refused.expected, refused.remedy)
