"""What each kind of entry may say: one pydantic model a kind, nothing extra allowed.

What they are made of stands in `parts`, what single fields may hold in `fields`.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, ClassVar, Literal

from pydantic import AfterValidator, BeforeValidator, Field, model_validator

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
    FactorField,
    Grade,
    HypothesisName,
    MeasurementName,
    Name,
    OpenChanceField,
    PrecedentName,
    Prose,
    QuantityField,
    QuestionName,
    SourceName,
    answer,
    once,
)
from ledger.entries.fields import Ref as Ref
from ledger.entries.parts import (
    Bearings,
    Criterion,
    Fixed,
    Given,
    Mark,
    Observed,
    Part,
    Picked,
    Quote,
    Resolution,
    Taken,
)
from ledger.entries.short_forms import read_fixed, read_given
from ledger.quantities.chance import Chance

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
        """Yield every input, and every cell of its rows and every limit that is taken from elsewhere."""
        for given in self.inputs.values():
            yield given
            for row in given.rows or []:
                yield from (cell for cell in row.values() if isinstance(cell, Taken))
        for criterion in self.criteria:
            yield from (limit for _, limit in criterion.limits() if isinstance(limit, Taken))

    @property
    def chosen(self) -> tuple[str, ...]:
        """Return the names of the inputs that are the designer's free choice."""
        return tuple(sorted(name for name, given in self.inputs.items() if given.chosen is not None))


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
