"""The document that carries a reply: what a reader's page makes, what is mailed, what the intake keeps.

A reply is one JSON object of version 1:

version      1
id           a UUID that the reader's page made: whoever sends the same reply again sends the same id
about        the entry that was replied to, `evidence/sleeve-groove`
edition      number and fingerprint of the edition that the reader saw, or null
stance       agree, doubt, new-evidence, another-hypothesis, correction
text         Markdown, 1 to 20,000 characters
confidences  by rival of one question, `hypotheses/drum` or `none-of-these`: a share from 0 to 1
inputs       by calculation, `calculations/drum-track`: inputs as the reader set them, `{"radius": "62 mm"}`
name         the reader's, or null
credit       named or anonymous: how the reader wants to be credited
contact      an address for a question back, or null; never published
consent      whether the words may be published
sent         the day, `2031-05-17`

Edition, confidences, inputs, name and contact may be left out; nothing else may stand there.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from datetime import date
from hashlib import sha256
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, StringConstraints, WithJsonSchema

from ledger.entries.fields import FOLDERS, NONE_OF_THESE

VERSION = 1
LONGEST, LONGEST_NAME, LONGEST_LINE = 20_000, 80, 200
MOST_RIVALS, MOST_CALCULATIONS, MOST_INPUTS = 50, 20, 60
_NAME = "[a-z0-9]+(?:-[a-z0-9]+)*"
# Any text but control characters; in one line also no breaks, and nothing that turns the direction of reading.
_ANY = r"[^\x00-\x08\x0B\x0C\x0E-\x1F\x7F-\x9F]"
_LINE = r"[^\x00-\x1F\x7F-\x9F\u061C\u200E\u200F\u2028-\u202E\u2066-\u2069]"
_INK = r"[^\x00-\x20\x7F-\xA0\u061C\u200E\u200F\u2028-\u202E\u2066-\u2069]"
TEXT = f"^{_ANY}*{_INK}{_ANY}*$"
LINE = f"^{_LINE}*{_INK}{_LINE}*$"
UUID = "^[0-9a-f]{8}-[0-9a-f]{4}-[1-8][0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$"
ABOUT = f"^(?:{'|'.join(FOLDERS.values())})/{_NAME}$"
RIVAL = f"^(?:hypotheses/{_NAME}|{NONE_OF_THESE})$"
CALCULATION = f"^calculations/{_NAME}$"
INPUT = "^[a-z0-9]+(?:[-_][a-z0-9]+)*$"
DAY = "^[0-9]{4}-[0-9]{2}-[0-9]{2}$"
LONGEST_REF = 120

Stance = Literal["agree", "doubt", "new-evidence", "another-hypothesis", "correction"]


def is_day(given: object) -> bool:
    """Return whether something given is a day of the calendar, `2031-05-17`."""
    if not isinstance(given, str) or not re.fullmatch(DAY, given):
        return False
    try:
        date.fromisoformat(given)
    except ValueError:
        return False
    return True


def _day(text: str) -> str:
    if not is_day(text):
        raise ValueError("a day of the calendar, such as 2031-05-17")
    return text


def _version(number: int) -> int:
    if number != VERSION:
        raise ValueError(f"{VERSION}, the version that is known here")
    return number


def _mapping(keys: str, longest: int, most: int, value: dict[str, Any]) -> WithJsonSchema:
    names = {"pattern": keys, "maxLength": longest}
    return WithJsonSchema(
        {"type": "object", "propertyNames": names, "additionalProperties": value, "maxProperties": most}
    )


def _text(pattern: str, longest: int) -> StringConstraints:
    return StringConstraints(pattern=pattern, min_length=1, max_length=longest)


Line = Annotated[str, _text(LINE, LONGEST_LINE)]
Day = Annotated[
    str,
    StringConstraints(pattern=DAY),
    AfterValidator(_day),
    WithJsonSchema({"type": "string", "format": "date"}),
]
Share = Annotated[float, Field(ge=0, le=1)]
_LINE_SCHEMA = {"type": "string", "pattern": LINE, "minLength": 1, "maxLength": LONGEST_LINE}
Confidences = Annotated[
    dict[Annotated[str, _text(RIVAL, LONGEST_REF)], Share],
    Field(max_length=MOST_RIVALS),
    _mapping(RIVAL, LONGEST_REF, MOST_RIVALS, {"type": "number", "minimum": 0, "maximum": 1}),
]
Inputs = Annotated[
    dict[Annotated[str, _text(INPUT, LONGEST_NAME)], Line],
    Field(max_length=MOST_INPUTS),
    _mapping(INPUT, LONGEST_NAME, MOST_INPUTS, _LINE_SCHEMA),
]
_INPUTS_SCHEMA = {
    "type": "object",
    "propertyNames": {"pattern": INPUT, "maxLength": LONGEST_NAME},
    "additionalProperties": _LINE_SCHEMA,
    "maxProperties": MOST_INPUTS,
}
Changed = Annotated[
    dict[Annotated[str, _text(CALCULATION, LONGEST_REF)], Inputs],
    Field(max_length=MOST_CALCULATIONS),
    _mapping(CALCULATION, LONGEST_REF, MOST_CALCULATIONS, _INPUTS_SCHEMA),
]


class Strict(BaseModel):
    """Anything that comes from outside: closed, strict, frozen."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)


class EditionSeen(Strict):
    """The edition that was before the reader's eyes."""

    number: Annotated[int, Field(ge=0, le=1_000_000_000)]
    fingerprint: Annotated[str, StringConstraints(pattern="^[0-9a-f]{64}$")]


class ReplyDocument(Strict):
    """A reply as it is sent, mailed and kept."""

    version: Annotated[int, AfterValidator(_version), WithJsonSchema({"type": "integer", "const": VERSION})]
    id: Annotated[str, StringConstraints(pattern=UUID)]
    about: Annotated[str, _text(ABOUT, LONGEST_REF)]
    edition: EditionSeen | None = None
    stance: Stance
    text: Annotated[str, _text(TEXT, LONGEST)]
    confidences: Confidences = {}
    inputs: Changed = {}
    name: Annotated[str, _text(LINE, LONGEST_NAME)] | None = None
    credit: Literal["named", "anonymous"]
    contact: Line | None = None
    consent: bool
    sent: Day

    @property
    def credited(self) -> str | None:
        """Return the name to credit in public, or None: it takes a name, the wish to be named, and consent."""
        return self.name if self.credit == "named" and self.consent else None


def canonical(document: ReplyDocument) -> str:
    """Return a reply as JSON in one form: every field, keys in order, no spaces, other scripts as they are."""
    return json.dumps(document.model_dump(), ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False)


def digest(document: ReplyDocument) -> str:
    """Return sha256 of the canonical form."""
    return sha256(canonical(document).encode()).hexdigest()


def same_words(document: ReplyDocument) -> str:
    """Return sha256 of who said what about what, spaces and case apart: equal where a reply was sent twice anew."""
    said: Iterable[str] = (document.about, document.stance, document.name or "", document.text)
    return sha256("\x00".join(" ".join(part.casefold().split()) for part in said).encode()).hexdigest()
