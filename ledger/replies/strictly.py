"""JSON read strictly: UTF-8, no name twice in one object, no numbers that are none."""

from __future__ import annotations

import json
from typing import Any, NoReturn

LONGEST_NUMBER = 400


def loads(content: bytes | str) -> Any:
    """Return what JSON says. Raises ValueError, with the reason in words, for anything that is not to be taken."""
    try:
        text = content if isinstance(content, str) else content.decode("utf-8")
        return json.loads(text, object_pairs_hook=_object, parse_constant=_no_number, parse_int=_whole)
    except UnicodeDecodeError as error:
        raise ValueError(f"the byte {content[error.start]!r} at place {error.start} is no UTF-8") from error
    except json.JSONDecodeError as error:
        raise ValueError(f"{error.msg[0].lower()}{error.msg[1:]} at line {error.lineno}, sign {error.colno}") from error
    except RecursionError as error:
        raise ValueError("it is nested too deep") from error


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for name, value in pairs:
        if name in found:
            raise ValueError(f"`{name[:80]}` stands twice in one object")
        found[name] = value
    return found


def _whole(digits: str) -> int:
    if len(digits) > LONGEST_NUMBER:
        raise ValueError(f"a number of {len(digits)} digits is too long")
    return int(digits)


def _no_number(name: str) -> NoReturn:
    raise ValueError(f"{name} is no number")
