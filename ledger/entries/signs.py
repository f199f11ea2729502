"""Signs that nobody sees in a text and that steer what shows it: a terminal, a page, the direction of reading."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Set
from typing import Any

from ledger.entries.bodies import FIELD
from ledger.entries.reading import Document
from ledger.errors import Fault

# C0 and C1 but tab and line ends (ECMA-48).
CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]")
# In a field, which stands within other words, also what embeds, overrides or isolates a direction (Unicode, UAX #9).
STEERING = re.compile(f"{CONTROL.pattern[:-1]}\u202a-\u202e\u2066-\u2069]")
EXPECTED = "text without signs that nobody sees"
REMEDY = "Take the sign out; it may have come with a copied text."


def steering(text: str, signs: re.Pattern[str] = STEERING) -> str:
    """Return the first of such signs in a text by its number, `U+001B`; "" if there is none."""
    found = signs.search(text)
    return f"U+{ord(found[0]):04X}" if found else ""


def check_signs(documents: Mapping[str, Document], changed: Set[str]) -> list[Fault]:
    """Return the faults of such signs in the fields, as they read, and in the text of changed entries.

    A reply's words are its reader's, and not the author's to mend: what must not be in them is refused when they come.
    """
    faults = []
    for ref in sorted(changed & documents.keys()):
        document = documents[ref]
        if document.kind == "reply":
            continue
        said = [(field, steering(text)) for field, text in _texts("", document.front)]
        for field, sign in (*said, (FIELD, steering(document.body, CONTROL))):
            if sign:
                faults.append(document.fault(field, f"the sign {sign}", EXPECTED, REMEDY))
    return faults


def _texts(place: str, value: Any) -> Iterator[tuple[str, str]]:
    """Yield every text of front matter, keys too, with its place."""
    if isinstance(value, str):
        yield place, value
    elif isinstance(value, Mapping):
        for key, one in value.items():
            inside = f"{place}.{key}".removeprefix(".")
            yield inside, str(key)
            yield from _texts(inside, one)
    elif isinstance(value, list | tuple):
        for number, one in enumerate(value, 1):
            yield from _texts(f"{place}.{number}", one)
