"""What the page may send, checked before anything is done with it."""

from __future__ import annotations

from typing import Annotated, Any, Literal, TypeVar

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from ledger.entries.wording import trail
from ledger.errors import Fault, FaultsFound

# A person marks some hundreds of points at most; a request is held to what any of them could need.
MOST_POINTS, MOST_NAMES, LONG, LONGEST = 2_000, 200, 2_000, 200_000
Number = Annotated[float, Field(allow_inf_nan=False)]
Place = Annotated[list[Number], Field(min_length=2, max_length=2)]
Places = Annotated[list[Place], Field(max_length=MOST_POINTS)]
Text = Annotated[str, Field(max_length=LONG)]
Key = Annotated[str, Field(max_length=100)]


class Asked(BaseModel):
    """Anything the page sends: closed and frozen."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class Picks(Asked):
    """Picks as they stand on the page; what is known is text as a person wrote it."""

    by: Key
    file: Text
    points: dict[Key, Places] = Field({}, max_length=MOST_NAMES)
    known: dict[Key, Text | list[Text]] = Field({}, max_length=MOST_NAMES)
    lens: Text | dict[Key, Text] | None = None
    doubt: Text = "1"
    count: int = Field(1_000, ge=100, le=10_000)


class Part(Asked):
    """What of a recording is to be seen: times [s], frequencies [Hz], columns and rows [px]."""

    file: Text
    start: Number
    end: Number
    low: Number
    high: Number
    columns: int = Field(ge=1, le=100_000)
    rows: int = Field(ge=1, le=100_000)


class NewSource(Asked):
    """A source that is written together with the entry that needs it."""

    name: Text
    title: Text
    medium: Text
    author: Text
    date: Text
    rights: Text
    reliability: Text
    file: Text


class Draft(Asked):
    """An entry to be written.

    was     the digest of the text that was opened, where an entry is revised
    source  the name of a source there is; without it `fresh` is one to be made
    """

    kind: Literal["measurement", "evidence"]
    name: Text
    title: Text
    credibility: Text
    source: Text = ""
    fresh: NewSource | None = None
    method: Text = ""
    body: Annotated[str, Field(max_length=LONGEST)] = ""
    picked: Picks | None = None
    marks: list[dict[str, Any]] = Field([], max_length=MOST_POINTS)
    bearing: dict[Key, Text | dict[str, Any]] = Field({}, max_length=MOST_NAMES)
    was: Text | None = None


One = TypeVar("One", bound=Asked)


def asked(model: type[One], given: Any) -> One:
    """Return what was sent, checked; FaultsFound where it is nothing that the page sends."""
    try:
        return model.model_validate(given)
    except ValidationError as error:
        front = given if isinstance(given, dict) else {}
        raise FaultsFound(_fault(dict(one), front) for one in error.errors(include_url=False)) from error


def _fault(one: dict[str, Any], front: dict[str, Any]) -> Fault:
    """Return what is refused in plain words: what is too long as such, all else as what no page of the bench sends."""
    kind, value, context = one["type"], one["input"], one.get("ctx", {})
    field = ".".join(str(step + 1) if isinstance(step, int) else step for step in trail(one["loc"], front))
    if kind == "string_too_long":
        most = context["max_length"]
        remedy = f"Shorten it by {len(value) - most}."
        return Fault("", 0, field, f"{len(value)} characters", f"{most} characters at most", remedy)
    if kind == "too_long":
        most = context["max_length"]
        return Fault("", 0, field, f"{len(value)} of them", f"{most} at most", f"Take away {len(value) - most}.")
    field = field or ".".join(map(str, one["loc"]))
    return Fault("", 0, field, f"`{str(value)[:80]}`", "what the page sends", "Load the page again.")
