"""The JSON document declared: one model for each thing in it, from which the document and its schema are both made.

Chances are 0 to 1, weights and accounts decibans. What is not known, or does not apply, is left out.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, PlainSerializer

from ledger.entries.models import (
    Calculation,
    Decision,
    Evidence,
    Hypothesis,
    Investigation,
    Lookout,
    Measurement,
    Precedent,
    Question,
    Reply,
    Source,
)
from ledger.handing.fronts import plain

Front = Annotated[
    Investigation
    | Source
    | Precedent
    | Evidence
    | Measurement
    | Question
    | Hypothesis
    | Calculation
    | Decision
    | Lookout
    | Reply,
    Field(discriminator="kind"),
    PlainSerializer(plain),
]
EntryRef = Annotated[str, Field(pattern=r"^[a-z]+/[a-z0-9-]+$")]
_ROUNDING = 1e-9


def _within(given: Any) -> Any:
    """Take off what rounding has added to a chance of 0 or 1."""
    if isinstance(given, float) and (-_ROUNDING < given < 0 or 1 < given < 1 + _ROUNDING):
        return 0.0 if given < 0 else 1.0
    return given


Share = Annotated[float, Field(ge=0, le=1), BeforeValidator(_within)]


class Told(BaseModel):
    """Anything in the document: closed, strict, without numbers that are none."""

    model_config = ConfigDict(
        extra="forbid",
        frozen=True,
        strict=True,
        allow_inf_nan=False,
        alias_generator=lambda name: name.replace("_", "-"),
        validate_by_name=True,
        arbitrary_types_allowed=True,
    )


class Figure(Told):
    """Draws summed up: their mean, their standard deviation, and the ends of the 95 % interval."""

    estimate: float
    uncertainty: Annotated[float, Field(ge=0)]
    low_95: float
    high_95: float


class Measured(Told):
    """A measurement's quantity in numbers, in its unit: expectation, standard deviation, and what a drawing says."""

    shape: Literal["exact", "normal", "rectangular", "triangular", "whole"]
    unit: str
    mean: float
    deviation: Annotated[float, Field(ge=0)]
    nominal: float


class Kept(Told):
    """An entry: its front matter, its body in Markdown, how many revisions it had, and which entries name it."""

    ref: EntryRef
    kind: str
    revisions: Annotated[int, Field(ge=1)]
    front: Front
    body: str
    measured: Measured | None = None
    used_by: list[EntryRef]


class Input(Told):
    """An input as it was bound: `ground` says by what, `ref` and `output` from where, `stated` as written."""

    name: str
    label: str
    unit: str
    ground: Literal["value", "chosen", "measurement", "calculation", "rows", "default"]
    ref: EntryRef | None = None
    output: str | None = None
    stated: str
    reason: str | None = None
    figure: Figure | None = None
    rows: list[dict[str, str | bool | int | float]] | None = None


class Output(Told):
    """An output: a number's figure, the chance that a truth holds, or a text or rows as `value`.

    `share` of the draws, over which alone a number is summed up, because it means nothing in the others.
    """

    name: str
    label: str
    unit: str
    form: str
    figure: Figure | None = None
    chance: Share | None = None
    value: str | list[dict[str, Figure | bool | int | float | str]] | None = None
    share: Share | None = None


class Limit(Told):
    """A criterion and the chance that it is kept, at the choice that keeps all criteria most often."""

    output: str
    limit: str
    chance: Share


class Doubt(Told):
    """What one root's doubt does to an output.

    `share` of its variance; its standard uncertainty, and the chance that all criteria hold, were that doubt halved.
    """

    output: str
    root: str
    share: float
    uncertainty: float | None = None
    chance: Share | None = None


class Worked(Told):
    """One calculation: what went in, what came out, which criteria it keeps, and the cautions that go with it.

    `choice`: what its chosen inputs were set to; `choice-above`: likewise those of the calculations that it stands on,
    by calculation, for this one: for themselves alone they may stand elsewhere.
    """

    ref: EntryRef
    calculator: str
    inputs: list[Input]
    outputs: list[Output]
    criteria: list[Limit]
    choice: dict[str, str]
    choice_above: dict[EntryRef, dict[str, str]] | None = None
    doubts: list[Doubt]
    cautions: list[str]


class Refused(Told):
    """What could not be computed, and why."""

    ref: str
    reason: str


class Rival(Told):
    """Where one rival of a question stands, in order of confidence; `low-90` and `high-90` end the 90 % interval.

    `prior` as stated and `linked-prior` as links to other questions make it; `first`: chance of ranking first; judged
    in so many of the notes; `feasibility`: chance that all its criteria hold together.
    """

    rival: str
    prior: Share
    linked_prior: Share
    confidence: Share
    low_90: Share | None = None
    median: Share | None = None
    high_90: Share | None = None
    first: Share | None = None
    judged: Annotated[int, Field(ge=0)]
    notes: Annotated[int, Field(ge=0)]
    tested: bool
    may_lead: bool
    feasibility: Share | None = None


class Line(Told):
    """One part of an account."""

    part: str
    ref: str
    decibans: float


class Account(Told):
    """The log-odds of the leader over the runner-up, in lines that add up to it."""

    leader: str
    runner_up: str
    total: float
    lines: list[Line]


class Weight(Told):
    """What one entry, or one part named in words, does to each rival; `infinite`: rivals it alone leaves or shuts out.

    In place of an infinite weight stands 0.
    """

    of: str
    decibans: dict[str, float]
    infinite: list[str]


class Order(Told):
    """How likely one rival ranks first and another second."""

    first: str
    second: str
    chance: Share


class Asked(Told):
    """A question weighed. `leader` is left out where nobody may lead; `through-links`: weights that links carry."""

    ref: EntryRef
    leader: str | None = None
    rivals: list[Rival]
    account: Account
    weights: list[Weight]
    through_links: list[Weight]
    soundness: dict[str, Share]
    linked: list[EntryRef]
    orders: list[Order]


class Finding(Told):
    """Something a person should look at."""

    about: list[str]
    message: str


class Edition(Told):
    """Which state of the ledger this is: its number, where it was published, and the fingerprint of its content."""

    number: Annotated[int, Field(ge=1)] | None = None
    fingerprint: str


class Ledger(Told):
    """The whole ledger. `soundness` and `tracking` are the chances used for grades A to F and 1 to 6."""

    schema_: Annotated[str, Field(alias="$schema")]
    about: str
    edition: Edition
    investigation: EntryRef
    cautions: list[str]
    entries: list[Kept]
    withdrawn: list[Kept]
    calculations: list[Worked]
    refused: list[Refused]
    questions: list[Asked]
    soundness: dict[str, Share]
    tracking: dict[str, Share]
    findings: list[Finding]
    counted_twice: list[Finding]
