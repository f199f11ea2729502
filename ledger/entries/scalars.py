"""What a plain word or number of front matter means: text, a whole number, a decimal number, true or false.

YAML 1.1 and 1.2 readers disagree about many plain scalars, and people about more: `no`, `010`, `1:30`, `5e-3`. Whatever
either version would read as something other than text or our own strict forms is a surprise, and is refused.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import isinf

WHOLE_DIGITS = 18
_WHOLE = re.compile(r"-?(?:0|[1-9][0-9]*)\Z")
_DECIMAL = re.compile(r"-?[0-9]+\.[0-9]+(?:[eE][+-]?[0-9]+)?\Z")
_TIME_OF_DAY = re.compile(r"[0-9]{4}-[0-9]{1,2}-[0-9]{1,2}(?:[Tt]|[ \t]+)[0-9]{1,2}:[0-9]{2}:[0-9]{2}")
_SURPRISE = re.compile(
    r"""(?:
      [-+]?0b[01_]+                                                 # binary, 1.1
    | [-+]?0x[0-9a-fA-F_]+ | 0o[0-7]+                               # hexadecimal, octal of 1.2
    | [-+]?[0-9][0-9_]*                                             # +5, 010, 1_000
    | [-+]?[0-9][0-9_]*(?::[0-5]?[0-9])+(?:\.[0-9_]*)?              # base sixty, 1.1
    | [-+]?(?:[0-9][0-9_]*\.[0-9_]*|\.[0-9][0-9_]*|[0-9][0-9_]*)(?:[eE][-+]?[0-9]+)?
    | [-+]?\.(?:inf|Inf|INF) | \.(?:nan|NaN|NAN)
    )\Z""",
    re.VERBOSE,
)
_TRUE = frozenset(form for word in ("true", "yes", "on", "y") for form in (word, word.title(), word.upper()))
_FALSE = frozenset(form for word in ("false", "no", "off", "n") for form in (word, word.title(), word.upper()))
_NOTHING = frozenset(("", "~", "null", "Null", "NULL"))
_SIGNS = frozenset(("=", "<<"))
_WORDS = _TRUE | _FALSE | _NOTHING | _SIGNS
_DIGIT_OR_SIGN = frozenset("0123456789+-.")

Scalar = str | int | float | bool


@dataclass(frozen=True)
class Surprise:
    """A plain scalar that readers of YAML disagree about."""

    expected: str
    remedy: str


def read_plain(text: str) -> Scalar | Surprise:
    """Return what a plain scalar means, or the surprise in it.

    Whole numbers are `-?(0|[1-9]\\d*)` of at most 18 digits, decimals `-?\\d+\\.\\d+` with or without an exponent,
    truths `true` and `false`; the rest is text. Dates such as 2031-05-17 are text.
    """
    if text in _WORDS:
        return _word(text)
    if text[0] not in _DIGIT_OR_SIGN:
        return text
    if _WHOLE.match(text):
        if len(text.lstrip("-")) > WHOLE_DIGITS:
            return Surprise(
                f"a whole number of at most {WHOLE_DIGITS} digits", f'Write "{text}" in quotes if it is text.'
            )
        return int(text)
    if _DECIMAL.match(text):
        value = float(text)
        if isinf(value):
            return Surprise("a number below 1.8e+308", f'Write "{text}" in quotes if it is text.')
        return value
    if _SURPRISE.match(text):
        return _number(text)
    if _TIME_OF_DAY.match(text):
        return Surprise("a date alone, or a text in quotes", f'Write `{text[:10]}`, or "{text}" in quotes.')
    return text


def _word(text: str) -> Scalar | Surprise:
    if text == "true":
        return True
    if text == "false":
        return False
    if text == "":
        return Surprise("a value", 'Write a value, or take the field out; an empty text is written "".')
    if text in _NOTHING:
        return Surprise(
            "a value", f'Take the field out if there is nothing to say, or write "{text}" in quotes if it is text.'
        )
    if text == "<<":
        return Surprise("a value of its own", 'Write the fields out here, or "<<" in quotes if it is text.')
    if text == "=":
        return Surprise("a text in quotes", 'Write "=" in quotes.')
    truth = "true" if text in _TRUE else "false"
    return Surprise(
        "true, false or a text in quotes", f'Write `{truth}` if you mean that, or "{text}" in quotes if it is text.'
    )


def _number(text: str) -> Surprise:
    better = _decimal_form(text)
    if better is None:
        return Surprise(
            "a plain number or a text in quotes", f'Write "{text}" in quotes if it is text, or the number in full.'
        )
    return Surprise(
        "a number written in full, or a text in quotes", f'Write `{better}` for the number, or "{text}" in quotes.'
    )


def _decimal_form(text: str) -> str | None:
    """Return the strict form of a number in another form; None where people would not agree what number it is."""
    bare = text.replace("_", "").lstrip("+")
    try:
        if bare.lstrip("-")[:2] in ("0x", "0b", "0o"):
            return str(int(bare, 0))
        if _WHOLE.match(bare) and len(bare) <= WHOLE_DIGITS:
            return bare
        if bare.lstrip("-").isdigit() or ":" in bare:
            return None
        return decimal_text(float(bare))
    except ValueError:
        return None


def decimal_text(value: float) -> str:
    """Return a finite float in the strict form that reads back as the same float: 5.0, 1.0e-05."""
    text = repr(value)
    mantissa, exponent_sign, exponent = text.partition("e")
    if exponent_sign and "." not in mantissa:
        mantissa += ".0"
    if "." not in mantissa:
        raise ValueError(f"{text} has no place in front matter")
    return mantissa + exponent_sign + exponent


def stated(given: Scalar) -> str:
    """Return a short text or number as it can stand within braces of front matter."""
    text = ("true" if given else "false") if isinstance(given, bool) else " ".join(str(given).split())
    return f'"{text}"' if isinstance(given, str) and re.search(r"[\[\]{},#]|: ", text) else text


def plainly(given: object) -> str:
    """Say a value of front matter in plain words, short enough for a line of a report."""
    if isinstance(given, dict):
        return f"a mapping of {len(given)}"
    if isinstance(given, list | tuple):
        return f"a list of {len(given)}"
    if isinstance(given, bool):
        return "true" if given else "false"
    text = " ".join(str(given).split()) if given is not None else "nothing"
    return (text if len(text) <= 80 else text[:77] + "…") or "an empty text"
