"""What each kind of entry may say: one pydantic model a kind, nothing extra allowed.

Keys in front matter are the field names with hyphens. References are names within a kind (`bench-left`) where the
field fixes the kind, and `folder/name` (`sources/bench-left`) elsewhere; both are accepted everywhere.
"""

from __future__ import annotations

import re
from typing import Annotated, Any, ClassVar, Literal, Union

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from ledger.quantities.chance import Chance, parse_chance
from ledger.quantities.notation import NotationError, Quantity, parse

NAME = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*\Z")
DATE = re.compile(r"\d{4}(?:-(?:0[1-9]|1[0-2])(?:-(?:0[1-9]|[12]\d|3[01]))?)?\Z")

FOLDERS = {
    "investigation": "investigation",
    "source": "sources",
    "precedent": "precedents",
    "evidence": "evidence",
    "measurement": "measurements",
    "question": "questions",
    "hypothesis": "hypotheses",
    "calculation": "calculations",
    "decision": "decisions",
    "lookout": "lookouts",
    "reply": "replies",
}
KINDS = {folder: kind for kind, folder in FOLDERS.items()}
NONE_OF_THESE = "none-of-these"


def _name(text: str) -> str:
    if not NAME.match(text):
        raise NotationError(text, "a name of small letters, digits and single hyphens", "Rename it, e.g. `sleeve-groove`.")
    return text


def _reference(folder: str | None) -> Any:
    """Accept `name` or `folder/name`; keep `folder/name`. Without a folder only `folder/name` will do."""

    def check(text: str) -> str:
        stem, slash, rest = text.partition("/")
        if slash and stem in KINDS and NAME.match(rest) and folder in (None, stem):
            return text
        if not slash and folder and NAME.match(text):
            return f"{folder}/{text}"
        wanted = f"a name in {folder}/, like `{folder}/some-name`" if folder else "a reference like `measurements/hub-width`"
        raise NotationError(text, wanted, "Name an entry by its folder and file name, without `.md`.")

    return check


def _date(text: str) -> str:
    if not DATE.match(text):
        raise NotationError(text, "a date like 2031, 2031-05 or 2031-05-17", "Write year, month, day with hyphens.")
    return text


def _prose(text: str) -> str:
    if not text.strip():
        raise NotationError(text, "some words", "Fill it in or leave the field out.")
    return text


Prose = Annotated[str, AfterValidator(_prose)]
Name = Annotated[str, AfterValidator(_name)]
Date = Annotated[str, AfterValidator(_date)]
AnyReference = Annotated[str, AfterValidator(_reference(None))]
SourceName = Annotated[str, AfterValidator(_reference("sources"))]
PrecedentName = Annotated[str, AfterValidator(_reference("precedents"))]
MeasurementName = Annotated[str, AfterValidator(_reference("measurements"))]
QuestionName = Annotated[str, AfterValidator(_reference("questions"))]
HypothesisName = Annotated[str, AfterValidator(_reference("hypotheses"))]
QuantityField = Annotated[Quantity, BeforeValidator(parse)]
ChanceField = Annotated[Chance, BeforeValidator(parse_chance)]
Grade = Literal["A", "B", "C", "D", "E", "F"]
Credibility = Annotated[
    Literal["1", "2", "3", "4", "5", "6"],
    BeforeValidator(lambda given: str(given) if isinstance(given, int) and not isinstance(given, bool) else given),
]


def _hyphens(field: str) -> str:
    return field.rstrip("_").replace("_", "-")


class Part(BaseModel):
    """Anything inside an entry: strict, closed, frozen."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, strict=True, alias_generator=_hyphens, validate_by_name=True, arbitrary_types_allowed=True
    )


class Mark(Part):
    """Where on a source the thing is: pixels on a picture, seconds on a recording, a page or clause in a document."""

    label: Prose
    box: tuple[float, float, float, float] | None = None
    polygon: list[tuple[float, float]] | None = Field(None, min_length=3)
    line: tuple[tuple[float, float], tuple[float, float]] | None = None
    point: tuple[float, float] | None = None
    span: tuple[float, float] | None = None
    page: str | int | None = None
    clause: str | None = None

    @model_validator(mode="after")
    def one_place(self) -> Mark:
        places = ("box", "polygon", "line", "point", "span", "page", "clause")
        given = [place for place in places if getattr(self, place) is not None]
        if not given or (len(given) > 1 and set(given) != {"page", "clause"}):
            raise NotationError(
                ", ".join(given) or "no place",
                f"one of {', '.join(places)}",
                "Give each mark one place; page and clause may stand together.",
            )
        return self


class Absence(Part):
    """A bearing of something not seen: how surely it would have shown if the hypothesis were true."""

    would_show: ChanceField


def _bearing(given: Any) -> Any:
    return given if isinstance(given, dict | Absence) else parse_chance(given)


Bearing = Annotated[Union[Chance, Absence], BeforeValidator(_bearing)]  # noqa: UP007 - pydantic reads it at run time
OTHERS = "others"


def _rival(text: str) -> str:
    return text if text == OTHERS else str(_reference("hypotheses")(text))


Bearings = dict[Annotated[str, AfterValidator(_rival)], Bearing]


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
    doubt: float = Field(0.05, gt=0, lt=1)


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
    """One observation from one source. `measurements` names those it restates; `uncounted` says why it is not weighed."""

    kind: Literal["evidence"]
    source: SourceName
    credibility: Credibility
    marks: list[Mark] = []
    bearing: Bearings = {}
    measurements: list[MeasurementName] = []
    uncounted: Prose | None = None


class Measurement(Entry):
    """A quantity with unit and uncertainty, from a source."""

    kind: Literal["measurement"]
    quantity: QuantityField
    source: SourceName
    credibility: Credibility
    method: Prose
    marks: list[Mark] = []


class Question(Entry):
    """An open question. `none-of-these` is the prior that no rival is right."""

    kind: Literal["question"]
    none_of_these: float = Field(0.1, gt=0, lt=1)


class Hypothesis(Entry):
    """One rival answer. Its prior stands on precedents or a reason; `predicts` gives broad ranges for measurements."""

    kind: Literal["hypothesis"]
    question: QuestionName
    prior: float = Field(ge=0, le=1)
    precedents: list[PrecedentName] = []
    reason: Prose | None = None
    predicts: dict[MeasurementName, QuantityField] = {}

    @model_validator(mode="after")
    def prior_has_ground(self) -> Hypothesis:
        if not self.precedents and self.reason is None:
            raise NotationError("a prior alone", "`precedents` or a `reason` beside it", "Say what the prior stands on.")
        return self


Cell = str | int | float | bool


class Given(Part):
    """An input of a calculation: just one of value (with a reason), chosen (with a reason), measurement, calculation, rows."""

    value: Cell | None = None
    chosen: QuantityField | None = None
    measurement: MeasurementName | None = None
    calculation: Annotated[str, AfterValidator(_reference("calculations"))] | None = None
    output: str | None = None
    rows: list[dict[str, Cell]] | None = None
    reason: Prose | None = None

    @model_validator(mode="after")
    def one_ground(self) -> Given:
        grounds = ("value", "chosen", "measurement", "calculation", "rows")
        given = [ground for ground in grounds if getattr(self, ground) is not None]
        if len(given) != 1:
            raise NotationError(", ".join(given) or "nothing", f"one of {', '.join(grounds)}", "Bind the input once.")
        if given[0] in ("value", "chosen", "rows") and self.reason is None:
            raise NotationError(f"`{given[0]}` alone", "a `reason` beside it", "Say where the number comes from.")
        if (self.calculation is None) != (self.output is None):
            raise NotationError("half a reference", "`calculation` and `output` together", "Name both.")
        return self


def _given(given: Any) -> Any:
    """Read the short forms `measurements/name` and `calculations/name#output`."""
    if not isinstance(given, str):
        return given
    reference, hash_sign, output = given.partition("#")
    if reference.startswith("measurements/") and not hash_sign:
        return {"measurement": reference}
    if reference.startswith("calculations/") and hash_sign:
        return {"calculation": reference, "output": output}
    raise NotationError(
        given,
        "`measurements/name`, `calculations/name#output`, or a mapping such as {value: 8, reason: …}",
        "A bare number needs its reason beside it.",
    )


class Criterion(Part):
    """The limit an output must keep: at least, at most (both for a band), or `holds` for a yes-or-no output."""

    output: str
    at_least: QuantityField | None = None
    at_most: QuantityField | None = None
    holds: bool | None = None

    @model_validator(mode="after")
    def one_limit(self) -> Criterion:
        if (self.holds is None) == (self.at_least is None and self.at_most is None):
            raise NotationError("no single limit", "`at-least` and/or `at-most`, or `holds`", "State what the output must keep.")
        return self


class Observed(Part):
    """The measurement an output predicts."""

    output: str
    measurement: MeasurementName


class Calculation(Entry):
    """One use of a calculator, with bound inputs; `hypotheses` are those it tests. `doubt`: chance the model does not apply."""

    kind: Literal["calculation"]
    calculator: Name
    hypotheses: list[HypothesisName] = []
    inputs: dict[str, Annotated[Given, BeforeValidator(_given)]]
    criteria: list[Criterion] = []
    observed: Observed | None = None
    doubt: float | None = Field(None, gt=0, lt=1)
    uncounted: Prose | None = None


class Decision(Entry):
    """A design choice for the model, with the grounds it stands on."""

    kind: Literal["decision"]
    choice: Prose
    grounds: list[AnyReference] = Field(min_length=1)
    taken: Date


class Lookout(Entry):
    """An observation still wanted: each possible outcome with its bearing on the rivals."""

    kind: Literal["lookout"]
    question: QuestionName
    cost: Prose | None = None
    outcomes: dict[Name, Bearings] = Field(min_length=2)


class Reply(Entry):
    """What a reader sent in."""

    kind: Literal["reply"]
    about: AnyReference
    stance: Literal["agree", "doubt", "new-evidence", "another-hypothesis", "correction"]
    name: Prose | None = None
    date: Date
    consent: bool


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
