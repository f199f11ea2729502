"""Entries written as files: the same front matter gives the same text, and reading it gives the same front matter back.

Text is quoted only where the strict reader, or any other reader of YAML, would take it for something else. Text of
several lines becomes a literal block where it can; lists of numbers stand on one line.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from ledger.entries.scalars import WHOLE_DIGITS, decimal_text, read_plain
from ledger.entries.yamlstrict import DEPTH, KEY_LENGTH

# What libyaml will not have raw, or readers of YAML 1.1 and 1.2 break lines at.
_UNPRINTABLE = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff]")
_NOT_FIRST = frozenset(" ?:,[]{}#&*!|>'\"%@`-")
_ESCAPES = {"\\": "\\\\", '"': '\\"', "\n": "\\n", "\t": "\\t", "\r": "\\r"}
_TO_ESCAPE = re.compile(r'[\\"]|' + _UNPRINTABLE.pattern)


def write(front: Mapping[str, Any], body: str) -> str:
    """Return the file that says `front` and `body`.

    Raises ValueError for what front matter cannot hold: nothing (None), numbers that are not finite or have more than
    18 digits, half surrogates, keys that are not text of at most 128 signs, more than 20 levels.
    """
    text = "".join(("---\n", *(f"{line}\n" for line in _mapping(front, "", 1)), "---\n", body))
    text.encode("utf-8")
    return text


def _mapping(data: Mapping[str, Any], indent: str, depth: int) -> Iterator[str]:
    for key, value in data.items():
        yield from _item(f"{indent}{_key(key)}:", value, indent, depth)


def _sequence(data: Sequence[Any], indent: str, depth: int) -> Iterator[str]:
    for value in data:
        if isinstance(value, Mapping) and value:
            _check(depth + 1)
            inner = _mapping(value, indent + "  ", depth + 1)
            yield f"{indent}- {next(inner)[len(indent) + 2 :]}"
            yield from inner
        else:
            yield from _item(f"{indent}-", value, indent, depth)


def _item(head: str, value: Any, indent: str, depth: int) -> Iterator[str]:
    inner = indent + "  "
    if isinstance(value, Mapping):
        _check(depth + 1)
        if value:
            yield head
            yield from _mapping(value, inner, depth + 1)
        else:
            yield f"{head} {{}}"
    elif isinstance(value, list | tuple):
        _check(depth + 1)
        if _is_numbers(value):
            yield f"{head} {_flow(value, depth + 1)}"
        else:
            yield head
            yield from _sequence(value, inner, depth + 1)
    elif isinstance(value, str) and "\n" in value and _is_block(value):
        yield f"{head} {'|' if value.endswith(chr(10)) else '|-'}"
        yield from (inner + line if line else "" for line in value.removesuffix("\n").split("\n"))
    else:
        yield f"{head} {_scalar(value)}"


def _check(depth: int) -> None:
    if depth > DEPTH:
        raise ValueError(f"front matter has at most {DEPTH} levels")


def _is_numbers(value: Any) -> bool:
    """Return whether a list holds only numbers and lists of them; the empty list does."""
    return all(
        _is_numbers(item)
        if isinstance(item, list | tuple)
        else isinstance(item, int | float) and not isinstance(item, bool)
        for item in value
    )


def _flow(value: Sequence[Any], depth: int) -> str:
    _check(depth)
    return (
        "["
        + ", ".join(_flow(item, depth + 1) if isinstance(item, list | tuple) else _scalar(item) for item in value)
        + "]"
    )


def _key(key: object) -> str:
    if not isinstance(key, str) or len(key) > KEY_LENGTH:
        raise ValueError(f"a key must be text of at most {KEY_LENGTH} signs: {key!r}")
    meaning = read_plain(key)
    if (meaning == key or type(meaning) is int) and ":" not in key and _is_plain(key):
        return key
    return _quoted(key)


def _scalar(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        if len(str(abs(value))) > WHOLE_DIGITS:
            raise ValueError(f"a whole number has at most {WHOLE_DIGITS} digits")
        return str(value)
    if isinstance(value, float):
        return decimal_text(value)
    if isinstance(value, str):
        return str(value) if _is_plain(value) and read_plain(value) == value else _quoted(value)
    raise ValueError(f"front matter holds text, numbers, truths, lists and mappings, not {type(value).__name__}")


def _is_plain(text: str) -> bool:
    """Return whether text in a block keeps its meaning to the letter without quotes, its type aside."""
    if not text or text[-1] in " :" or ": " in text or " #" in text or text.startswith("..."):
        return False
    if text[0] in _NOT_FIRST and not (text[0] == "-" and len(text) > 1 and text[1] not in " -"):
        return False
    return _UNPRINTABLE.search(text) is None


def _is_block(text: str) -> bool:
    """Return whether text of several lines can be a literal block: no odd spaces at its edges, nothing unprintable."""
    if text[0] in " \n" or text.endswith("\n\n") or _UNPRINTABLE.search(text.replace("\n", "")):
        return False
    return not any(line.isspace() for line in text.split("\n"))


def _quoted(text: str) -> str:
    return '"' + _TO_ESCAPE.sub(_escape, text) + '"'


def _escape(match: re.Match[str]) -> str:
    sign = match.group()
    return _ESCAPES.get(sign) or (f"\\x{ord(sign):02x}" if ord(sign) < 256 else f"\\u{ord(sign):04x}")
