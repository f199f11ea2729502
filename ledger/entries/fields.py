"""What single fields of an entry may hold: names, references, dates, quantities, chances.

References are names within a kind (`bench-left`) where the field fixes the kind, and `folder/name`
(`sources/bench-left`) elsewhere; both are accepted everywhere, and kept as `folder/name`.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BeforeValidator, PlainValidator, Strict

from ledger.quantities.chance import Chance, parse_chance
from ledger.quantities.factor import Factor, parse_factor
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


class Ref(str):
    """A reference to another entry, `folder/name`. A type of its own, so that references can be found in the data."""

    __slots__ = ()


def _name(text: str) -> str:
    if not NAME.match(text):
        raise NotationError(
            text, "a name of small letters, digits and single hyphens", "Rename it, e.g. `sleeve-groove`."
        )
    return text


def reference(folder: str | None) -> Callable[[str], Ref]:
    """Accept `name` or `folder/name`; keep `folder/name`. Without a folder only `folder/name` will do."""

    def check(text: str) -> Ref:
        stem, slash, rest = text.partition("/")
        if slash and stem in KINDS and NAME.match(rest) and folder in (None, stem):
            return Ref(text)
        if not slash and folder and NAME.match(text):
            return Ref(f"{folder}/{text}")
        wanted = (
            f"a name in {folder}/, like `{folder}/some-name`" if folder else "a reference like `measurements/hub-width`"
        )
        raise NotationError(text, wanted, "Name an entry by its folder and file name, without `.md`.")

    return check


def _year(given: Any) -> Any:
    """Take a bare year, which YAML reads as a whole number, for a date."""
    return str(given) if type(given) is int and 1000 <= given <= 9999 else given


def _date(text: str) -> str:
    if not DATE.match(text):
        raise NotationError(text, "a date like 2031, 2031-05 or 2031-05-17", "Write year, month, day with hyphens.")
    return text


def _prose(text: str) -> str:
    if not text.strip():
        raise NotationError(text, "some words", "Fill it in or leave the field out.")
    return text


def _open(given: Any) -> Chance:
    """Take a chance that is neither 0 nor 1."""
    chance = parse_chance(given)
    if chance.low <= 0 or chance.high >= 1:
        raise NotationError(given, "a chance above 0 and below 1", "Nothing here is certain: write `0.05`, say.")
    return chance


Prose = Annotated[str, AfterValidator(_prose)]
Name = Annotated[str, AfterValidator(_name)]
Date = Annotated[str, BeforeValidator(_year), AfterValidator(_date)]
AnyReference = Annotated[str, AfterValidator(reference(None))]
SourceName = Annotated[str, AfterValidator(reference("sources"))]
PrecedentName = Annotated[str, AfterValidator(reference("precedents"))]
MeasurementName = Annotated[str, AfterValidator(reference("measurements"))]
QuestionName = Annotated[str, AfterValidator(reference("questions"))]
HypothesisName = Annotated[str, AfterValidator(reference("hypotheses"))]
CalculationName = Annotated[str, AfterValidator(reference("calculations"))]
QuantityField = Annotated[Quantity, PlainValidator(parse)]
ChanceField = Annotated[Chance, PlainValidator(parse_chance)]
OpenChanceField = Annotated[Chance, PlainValidator(_open)]
FactorField = Annotated[Factor, PlainValidator(parse_factor)]
Grade = Literal["A", "B", "C", "D", "E", "F"]
Credibility = Annotated[
    Literal["1", "2", "3", "4", "5", "6"],
    BeforeValidator(lambda given: str(given) if isinstance(given, int) and not isinstance(given, bool) else given),
]

# YAML gives lists; strict mode would have tuples only. The numbers inside stay strict.
Pair = Annotated[tuple[float, float], Strict(False)]
Four = Annotated[tuple[float, float, float, float], Strict(False)]
Ends = Annotated[tuple[Pair, Pair], Strict(False)]

OTHERS = "others"
_HYPOTHESIS = reference("hypotheses")


def rival(text: str) -> str:
    return text if text == OTHERS else _HYPOTHESIS(text)


def answer(text: str) -> str:
    """Accept a rival or `none-of-these`."""
    return text if text == NONE_OF_THESE else _HYPOTHESIS(text)


def once(folder: str) -> Any:
    """Refuse a mapping that names one entry twice, once with and once without its folder."""

    def check(given: Any) -> Any:
        if isinstance(given, dict):
            for key in given:
                if f"{folder}/{key}" in given:
                    raise NotationError(f"`{key}` and `{folder}/{key}`", "each name once", "Keep one of the two lines.")
        return given

    return BeforeValidator(check)
