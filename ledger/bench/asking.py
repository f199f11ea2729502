"""What the page may send, checked before anything is done with it."""

from __future__ import annotations

from typing import Annotated, Any, Literal, TypeVar

from pydantic import BaseModel, ConfigDict, Field, ValidationError

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
        raise FaultsFound(
            Fault("", 0, ".".join(str(part) for part in one["loc"]), str(one["input"])[:80], one["msg"], "Mend it.")
            for one in error.errors()
        ) from error
