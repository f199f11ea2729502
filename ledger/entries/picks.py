"""What the fields of picks may hold, as far as it can be told without the method that measures by them."""

from __future__ import annotations

import re
from typing import Annotated, Any

from pydantic import PlainValidator

from ledger.quantities.notation import NotationError, Quantity, parse

WORD = re.compile(r"[a-z]+(?:-[a-z]+)*\Z")
LENS_WORDS = ("none", "unknown")

Said = Quantity | str
KnownValue = Said | tuple[Said, ...]
LensValue = str | dict[str, Quantity]


def _said(given: Any) -> Said:
    """Take a word for a word, and anything else for a quantity; which of them it may be is the method's to say."""
    return given if isinstance(given, str) and WORD.match(given) else parse(given)


def _known(given: Any) -> KnownValue:
    if isinstance(given, list | tuple):
        return tuple(_said(one) for one in given)
    return _said(given)


def _lens(given: Any) -> LensValue:
    if isinstance(given, dict):
        return {name: parse(one) for name, one in given.items()}
    if given in LENS_WORDS:
        return str(given)
    raise NotationError(
        given if isinstance(given, str | int | float) else "something else",
        f"{' or '.join(LENS_WORDS)}, or the terms of a lens",
        "Write `lens: none` for a corrected picture, `lens: unknown` if nothing is known of the camera.",
    )


KnownField = Annotated[KnownValue, PlainValidator(_known)]
LensField = Annotated[LensValue, PlainValidator(_lens)]
