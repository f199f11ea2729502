"""What is wrong with a reply that was sent, in words: where, what was given, what was expected, how to mend it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from pydantic import ValidationError
from typing_extensions import TypedDict

from ledger.replies import document


class Wrong(TypedDict):
    """One fault of what was sent."""

    field: str
    given: str
    expected: str
    remedy: str


SHOWN = 60
_PATTERNS = {
    document.UUID: ("a UUID in small letters", "Let `crypto.randomUUID()` make it."),
    document.ABOUT: ("an entry, such as `evidence/sleeve-groove`", "Name what the reply is about by folder and name."),
    document.RIVAL: ("`hypotheses/name` or `none-of-these`", "Name a rival of the question."),
    document.CALCULATION: ("`calculations/name`", "Name a calculation of the site."),
    document.INPUT: ("the name of an input", "Write it as the calculator does: `track_radius`."),
    document.TEXT: ("words, without control characters", "Take signs out that cannot be seen."),
    document.DAY: ("a day such as 2031-05-17", "Write year, month, day with hyphens."),
    document.LINE: ("one line of words", "Take out line breaks and signs that cannot be seen."),
}
_MISSING = ("a value", "Add it.")
_Say = Callable[[Any, dict[str, Any]], tuple[str, str]]
_TYPES: dict[str, _Say] = {
    "missing": lambda _value, _context: _MISSING,
    "extra_forbidden": lambda _value, _context: ("no such field", "Take it out."),
    "string_type": lambda _value, _context: ("text", "Put it in quotes."),
    "string_unicode": lambda _value, _context: ("text", "Take out half surrogates: they are no signs."),
    "int_type": lambda _value, _context: ("a whole number", "Write digits, without quotes."),
    "float_type": lambda _value, _context: ("a number", "Write digits and a point, without quotes."),
    "bool_type": lambda _value, _context: ("true or false", "Write it without quotes."),
    "dict_type": lambda _value, _context: ("an object", "Write names and values in braces."),
    "model_type": lambda _value, _context: ("an object", "Write names and values in braces."),
    "literal_error": lambda _value, context: (str(context["expected"]), "Choose one of them."),
    "string_too_long": lambda value, context: (
        f"at most {context['max_length']:,} characters",
        f"Shorten it by {len(value) - context['max_length']:,}.",
    ),
    "string_too_short": lambda _value, _context: ("some words", "Write something."),
    "too_long": lambda _value, context: (f"at most {context['max_length']}", "Take some out."),
    "greater_than_equal": lambda _value, context: (f"at least {context['ge']:g}", "Change the number."),
    "less_than_equal": lambda _value, context: (f"at most {context['le']:g}", "Change the number."),
    "value_error": lambda _value, context: (str(context["error"]), "Mend it."),
}


def wrongs(error: ValidationError) -> list[Wrong]:
    """Return one fault for each thing that a model refuses."""
    return [_wrong(dict(one)) for one in error.errors(include_url=False)]


def _wrong(one: dict[str, Any]) -> Wrong:
    context, value, kind = one.get("ctx", {}), one["input"], one["type"]
    if kind == "string_pattern_mismatch":
        expected, remedy = _PATTERNS.get(context["pattern"], (f"text like {context['pattern']}", "Mend it."))
    elif kind in _TYPES:
        expected, remedy = _TYPES[kind](value, context)
    else:
        expected, remedy = one["msg"], "Mend it."
    steps = [str(step) for step in one["loc"] if step != "[key]"]
    field = ".".join(_short(step) for step in steps)
    return Wrong(field=field, given="nothing" if kind == "missing" else given(value), expected=expected, remedy=remedy)


def given(value: Any) -> str:
    """Return what was given, short, and so that no sign in it can do anything."""
    if value == "":
        return "an empty text"
    if isinstance(value, dict | list):
        return f"{'an object' if isinstance(value, dict) else 'a list'} of {len(value)}"
    return _short(value) if isinstance(value, str) else str(value)[:SHOWN]


def _short(text: str) -> str:
    shown = visible(text[: SHOWN + 1])
    return f"{shown[:SHOWN]}…" if len(shown) > SHOWN else shown


# Joiners are part of words in some scripts, and of pictures; every other sign of format or control is shown by number.
_JOINERS = frozenset("\u200c\u200d")


def visible(text: str) -> str:
    """Return text for a terminal or a message: signs that steer instead of being seen stand as their numbers."""
    if text.isprintable():
        return text
    return "".join(sign if sign.isprintable() or sign in _JOINERS else _number(sign) for sign in text)


def _number(sign: str) -> str:
    number = ord(sign)
    return f"\\x{number:02x}" if number < 256 else f"\\u{number:04x}" if number < 65536 else f"\\U{number:08x}"
