"""The parts that entries are made of: marks, bearings, picks, inputs, criteria, quotes.

Keys in front matter are the field names with hyphens. What single fields may hold stands in `fields`.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from functools import cache
from typing import Annotated, Any, TypeVar

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Discriminator, Field, Tag, model_validator

from ledger.entries import together
from ledger.entries.fields import (
    AnyReference,
    CalculationName,
    ChanceField,
    Date,
    Ends,
    Four,
    MeasurementName,
    Name,
    Pair,
    Prose,
    QuantityField,
    SourceName,
    answer,
    once,
    rival,
)
from ledger.entries.picks import KnownField, LensField
from ledger.entries.short_forms import read_cell, read_limit, read_taken
from ledger.quantities.notation import NotationError, Quantity


def _hyphens(field: str) -> str:
    return field.rstrip("_").replace("_", "-")


class Part(BaseModel):
    """Anything inside an entry: strict, closed, frozen."""

    model_config = ConfigDict(
        extra="forbid",
        frozen=True,
        strict=True,
        alias_generator=_hyphens,
        validate_by_name=True,
        arbitrary_types_allowed=True,
    )


@cache
def keys_of(part: type[Part]) -> tuple[tuple[str, str], ...]:
    """Return the fields of a part or an entry: each by its name, with its key in front matter."""
    return tuple((name, field.alias or name) for name, field in part.model_fields.items())


Whole = TypeVar("Whole", bound=Part)


def _kept(part: Whole, rule: Callable[[Collection[str]], NotationError | None]) -> Whole:
    """Return the part if its fields keep a rule together."""
    if wrong := rule({_hyphens(name) for name in type(part).model_fields if getattr(part, name) is not None}):
        raise wrong
    return part


class Mark(Part):
    """Where on a source the thing is: pixels on a picture, seconds on a recording, a page or clause in a document."""

    label: Prose
    box: Four | None = None
    polygon: list[Pair] | None = Field(None, min_length=3)
    line: Ends | None = None
    point: Pair | None = None
    span: Pair | None = None
    page: str | int | None = None
    clause: str | None = None

    @model_validator(mode="after")
    def one_place(self) -> Mark:
        return _kept(self, together.place)


class Absence(Part):
    """A bearing of something not seen: how surely it would have shown if the hypothesis were true."""

    would_show: ChanceField


def _bearing_form(given: Any) -> str:
    return "absence" if isinstance(given, dict | Absence) else "chance"


Bearing = Annotated[
    Annotated[ChanceField, Tag("chance")] | Annotated[Absence, Tag("absence")],
    Discriminator(_bearing_form),
]
Bearings = Annotated[dict[Annotated[str, AfterValidator(rival)], Bearing], once("hypotheses")]


class Picked(Part):
    """Picks that a measurement was made from: `by` a method, `points` by role, and what is `known` beside them.

    `file` stands for the source's own; `doubt` is the standard uncertainty of a pick [px]; `size` the width and height
    of the whole picture [px], so that it can be measured where the picture is not at hand.
    """

    by: Name
    file: Prose | None = None
    points: dict[Name, list[Pair]] = Field(min_length=1)
    doubt: float = 1.0
    known: dict[Name, KnownField] = {}
    lens: LensField | None = None
    size: Pair | None = None


class Resolution(Part):
    """How a question came out: the rival that was true, when that was known, and by what."""

    answer: Annotated[str, AfterValidator(answer)]
    date: Date
    reason: Prose
    source: SourceName | None = None


class Taken(Part):
    """A cell of a row, or a limit, that is taken from elsewhere: `measurements/name`, or `calculations/name#output`."""

    measurement: MeasurementName | None = None
    calculation: CalculationName | None = None
    output: str | None = None

    @model_validator(mode="after")
    def one_source(self) -> Taken:
        return _kept(self, together.taken)

    @property
    def text(self) -> str:
        """Return it as written."""
        return str(self.measurement) if self.measurement is not None else f"{self.calculation}#{self.output}"


Literals = str | int | float | bool


Cell = Annotated[Literals | Taken, BeforeValidator(read_cell)]


class Given(Part):
    """An input of a calculation: just one of value, chosen, rows (each with a reason), measurement, calculation.

    Cells of rows may be taken from measurements and calculations too.
    """

    value: Literals | None = None
    chosen: QuantityField | None = None
    measurement: MeasurementName | None = None
    calculation: CalculationName | None = None
    output: str | None = None
    rows: list[dict[str, Cell]] | None = None
    reason: Prose | None = None

    @model_validator(mode="after")
    def one_ground(self) -> Given:
        return _kept(self, together.ground)


def _limit_form(given: Any) -> str:
    return "taken" if isinstance(given, dict | Taken) else "quantity"


Limit = Annotated[
    Annotated[QuantityField, Tag("quantity")] | Annotated[Taken, Tag("taken")],
    Discriminator(_limit_form),
    BeforeValidator(read_limit),
]


class Criterion(Part):
    """The limit an output must keep: at least, at most (both for a band), or `holds` for a yes-or-no output.

    A limit is a quantity, or taken from a measurement or another calculation, which it then follows.
    """

    output: str
    at_least: Limit | None = None
    at_most: Limit | None = None
    holds: bool | None = None

    @model_validator(mode="after")
    def one_limit(self) -> Criterion:
        return _kept(self, together.limit)

    def limits(self) -> Iterator[tuple[str, Quantity | Taken]]:
        """Yield the sides that have a limit, `at-least` first, each with it."""
        for side, limit in (("at-least", self.at_least), ("at-most", self.at_most)):
            if limit is not None:
                yield side, limit


class Observed(Part):
    """The measurement an output predicts."""

    output: str
    measurement: MeasurementName


class Fixed(Part):
    """What a parameter of the model is: just one of a value, rows, a measurement, an output of a calculation.

    `grounds`: those of the decision's grounds that speak for just this.
    """

    value: Literals | None = None
    measurement: MeasurementName | None = None
    calculation: CalculationName | None = None
    output: str | None = None
    rows: list[dict[str, Cell]] | None = None
    grounds: list[AnyReference] = []

    @model_validator(mode="after")
    def one_ground(self) -> Fixed:
        return _kept(self, together.settled)


class Quote(Part):
    """A number as a decision was taken on it: `of` which measurement or output of a calculation, and what it `said`."""

    of: Annotated[Taken, BeforeValidator(read_taken)]
    said: QuantityField
