"""What each kind of entry may say: one pydantic model a kind, nothing extra allowed.

Keys in front matter are the field names with hyphens. What single fields may hold stands in `fields`.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from typing import Annotated, Any, ClassVar, Literal, TypeVar

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Discriminator, Field, Tag, model_validator

from ledger.entries import together
from ledger.entries.fields import DATE as DATE
from ledger.entries.fields import FOLDERS as FOLDERS
from ledger.entries.fields import KINDS as KINDS
from ledger.entries.fields import NAME as NAME
from ledger.entries.fields import NONE_OF_THESE as NONE_OF_THESE
from ledger.entries.fields import OTHERS as OTHERS
from ledger.entries.fields import (
    AnyReference,
    CalculationName,
    ChanceField,
    Credibility,
    Date,
    Ends,
    FactorField,
    Four,
    Grade,
    HypothesisName,
    MeasurementName,
    Name,
    OpenChanceField,
    Pair,
    PrecedentName,
    Prose,
    QuantityField,
    QuestionName,
    SourceName,
    answer,
    once,
    rival,
)
from ledger.entries.fields import Ref as Ref
from ledger.entries.picks import KnownField, LensField
from ledger.entries.short_forms import read_cell, read_fixed, read_given, read_taken
from ledger.quantities.chance import Chance
from ledger.quantities.notation import NotationError


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
Predictions = Annotated[dict[MeasurementName, QuantityField], once("measurements")]
Favours = Annotated[dict[HypothesisName, FactorField], once("hypotheses")]
Confidences = Annotated[dict[Annotated[str, AfterValidator(answer)], float], once("hypotheses")]
ChangedInputs = Annotated[dict[CalculationName, dict[str, Prose]], once("calculations")]


class Entry(Part):
    """What every entry has. `withdrawn` gives the reason; `formerly` the name it had before it was renamed."""

    kind: str
    title: Prose
    withdrawn: Prose | None = None
    formerly: Name | None = None

    folder: ClassVar[str]


class Investigation(Entry):
    """One mechanism under study. `reliability` and `credibility` adjust the tables from grades to chances."""

    kind: Literal["investigation"]
    by: list[Prose] = Field(min_length=1)
    subject: Prose
    invented: bool = False
    licence: Prose | None = None
    cautions: list[Prose] = []
    reliability: dict[Grade, ChanceField] = {}
    credibility: dict[Credibility, ChanceField] = {}
    doubt: OpenChanceField = Chance(0.05, 0.05)


class Source(Entry):
    """Where something was seen, read or heard. A retelling names its `origin`."""

    kind: Literal["source"]
    medium: Literal["photograph", "recording", "document", "patent", "rules", "book", "conversation", "specimen"]
    author: Prose
    date: Date
    rights: Prose
    publishable: bool = False
    reliability: Grade
    origin: SourceName | None = None
    file: Prose | None = None
    locator: Prose | None = None


class Precedent(Entry):
    """A mechanism built, or only patented, before."""

    kind: Literal["precedent"]
    standing: Literal["in-use", "prototype", "patent-only"]
    from_: Date
    to: Date | None = None
    traits: list[Prose] = Field(min_length=1)
    example_of: list[HypothesisName] = []
    source: SourceName | None = None


class Evidence(Entry):
    """One observation from one source. `measurements` are those it restates; `uncounted`: why it is not weighed."""

    kind: Literal["evidence"]
    source: SourceName
    credibility: Credibility
    marks: list[Mark] = []
    bearing: Bearings = {}
    measurements: list[MeasurementName] = []
    uncounted: Prose | None = None


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


class Measurement(Entry):
    """A quantity with unit and uncertainty, from a source.

    `picked`: the picks that give it; `combines`: the measurements of the same quantity that it makes one of.
    """

    kind: Literal["measurement"]
    quantity: QuantityField
    source: SourceName
    credibility: Credibility
    method: Prose
    marks: list[Mark] = []
    picked: Picked | None = None
    combines: list[MeasurementName] = []


class Resolution(Part):
    """How a question came out: the rival that was true, when that was known, and by what."""

    answer: Annotated[str, AfterValidator(answer)]
    date: Date
    reason: Prose
    source: SourceName | None = None


class Question(Entry):
    """An open question. `none-of-these` is the prior that no rival is right; `resolved`: what turned out to be true."""

    kind: Literal["question"]
    none_of_these: OpenChanceField = Chance(0.1, 0.1)
    resolved: Resolution | None = None


class Hypothesis(Entry):
    """One rival answer. Its prior stands on precedents or a reason; `predicts` gives broad ranges for measurements.

    Links to hypotheses of other questions: it `needs` one to be true, it `rules-out` one, or it `favours` one by a
    factor on the pair.
    """

    kind: Literal["hypothesis"]
    question: QuestionName
    prior: ChanceField
    precedents: list[PrecedentName] = []
    reason: Prose | None = None
    predicts: Predictions = {}
    needs: list[HypothesisName] = []
    rules_out: list[HypothesisName] = []
    favours: Favours = {}

    @model_validator(mode="after")
    def prior_has_ground(self) -> Hypothesis:
        if wrong := together.prior(
            {*(["precedents"] if self.precedents else ()), *(["reason"] if self.reason else ())}
        ):
            raise wrong
        return self


class Taken(Part):
    """A cell of a row that is taken from elsewhere: `measurements/name`, or `calculations/name#output`."""

    measurement: MeasurementName | None = None
    calculation: CalculationName | None = None
    output: str | None = None

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


class Criterion(Part):
    """The limit an output must keep: at least, at most (both for a band), or `holds` for a yes-or-no output."""

    output: str
    at_least: QuantityField | None = None
    at_most: QuantityField | None = None
    holds: bool | None = None

    @model_validator(mode="after")
    def one_limit(self) -> Criterion:
        return _kept(self, together.limit)


class Observed(Part):
    """The measurement an output predicts."""

    output: str
    measurement: MeasurementName


class Calculation(Entry):
    """One use of a calculator, with bound inputs; it tests `hypotheses`. `doubt`: chance the model does not apply."""

    kind: Literal["calculation"]
    calculator: Name
    hypotheses: list[HypothesisName] = []
    inputs: dict[str, Annotated[Given, BeforeValidator(read_given)]]
    criteria: list[Criterion] = []
    observed: Observed | None = None
    doubt: OpenChanceField | None = None
    uncounted: Prose | None = None

    def grounds(self) -> Iterator[Given | Taken]:
        """Yield every input, and every cell of its rows that is taken from elsewhere."""
        for given in self.inputs.values():
            yield given
            for row in given.rows or []:
                yield from (cell for cell in row.values() if isinstance(cell, Taken))

    @property
    def chosen(self) -> tuple[str, ...]:
        """Return the names of the inputs that are the designer's free choice."""
        return tuple(sorted(name for name, given in self.inputs.items() if given.chosen is not None))


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


LeastConfidences = Annotated[dict[HypothesisName, OpenChanceField], once("hypotheses")]


class Decision(Entry):
    """A design choice for the model, with the grounds it stands on; `retaken`: why it was taken again, on that day.

    `fixes`: the parameters of the model that it settles; `quotes`: the numbers it was taken on; `least-confidence`: of
    hypotheses it counts on, the confidence below which it must be taken again.
    """

    kind: Literal["decision"]
    choice: Prose
    grounds: list[AnyReference] = Field(min_length=1)
    taken: Date
    retaken: Prose | None = None
    fixes: dict[Name, Annotated[Fixed, BeforeValidator(read_fixed)]] = {}
    quotes: list[Quote] = []
    least_confidence: LeastConfidences = {}


class Lookout(Entry):
    """An observation still wanted: each possible outcome with its bearing on the rivals.

    `effort` is the time it would take, `cost` what else it would.
    """

    kind: Literal["lookout"]
    question: QuestionName
    cost: Prose | None = None
    effort: QuantityField | None = None
    outcomes: dict[Name, Bearings] = Field(min_length=2)


class Reply(Entry):
    """What a reader sent in; `confidences`: how probable the reader holds each rival of a question.

    `inputs`: by calculation, those that the reader would set otherwise, as they were written; `answer`: the author's.
    """

    kind: Literal["reply"]
    about: AnyReference
    stance: Literal["agree", "doubt", "new-evidence", "another-hypothesis", "correction"]
    name: Prose | None = None
    date: Date
    consent: bool
    confidences: Confidences = {}
    inputs: ChangedInputs = {}
    answer: Prose | None = None


MODELS: dict[str, type[Entry]] = {
    "investigation": Investigation,
    "source": Source,
    "precedent": Precedent,
    "evidence": Evidence,
    "measurement": Measurement,
    "question": Question,
    "hypothesis": Hypothesis,
    "calculation": Calculation,
    "decision": Decision,
    "lookout": Lookout,
    "reply": Reply,
}
