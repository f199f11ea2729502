"""The JSON document as a reader sees it who knows its schema and nothing else; the jsonschema library checks it."""

from __future__ import annotations

import copy
import json
import warnings
from collections.abc import Callable
from dataclasses import replace
from math import inf, nan
from typing import Any

import jsonschema
import pytest

from ledger.casebook.values import Casebook
from ledger.entries.models import MODELS, Measurement
from ledger.errors import WitnessError
from ledger.handing import as_json, schema
from ledger.quantities.notation import parse
from ledger.quantities.summary import Summary
from tests.casebook_calculators import REGISTER
from tests.casebooks import CAM, DRUM, FORKS, RAMS, casebook

Document = dict[str, Any]
LENGTH = "calculations/drum-length"


@pytest.fixture(scope="module")
def files() -> dict[str, bytes]:
    """The hand-made casebook handed out."""
    return as_json.files(casebook(), REGISTER)


@pytest.fixture(scope="module")
def checker(files: dict[str, bytes]) -> jsonschema.Draft202012Validator:
    """The published schema in the hands of the library."""
    return jsonschema.Draft202012Validator(json.loads(files[schema.NAME]))


@pytest.fixture
def document(files: dict[str, bytes]) -> Document:
    """The document as any reader of JSON gets it."""
    read: Document = json.loads(files[as_json.NAME])
    return read


def test_the_schema_is_one_by_the_drafts_own_schema(files: dict[str, bytes]) -> None:
    """The published schema says that it is of draft 2020-12, and it is."""
    with warnings.catch_warnings(action="error"):
        assert json.loads(files[schema.NAME]) == schema.schema()
    read = json.loads(files[schema.NAME])
    assert read["$schema"] == jsonschema.Draft202012Validator.META_SCHEMA["$id"]
    jsonschema.Draft202012Validator.check_schema(read)
    with pytest.raises(jsonschema.SchemaError):
        jsonschema.Draft202012Validator.check_schema({**read, "required": "everything"})


def test_the_document_keeps_its_schema(checker: jsonschema.Draft202012Validator, document: Document) -> None:
    """The document names the schema beside it and keeps it."""
    assert document["$schema"] == schema.NAME
    assert [error.message for error in checker.iter_errors(document)] == []


def _entry(document: Document, ref: str) -> Document:
    found: Document = next(one for one in document["entries"] if one["ref"] == ref)
    return found


def _front(document: Document, ref: str) -> Document:
    front: Document = _entry(document, ref)["front"]
    return front


FAULTS: dict[str, Callable[[Document], object]] = {
    "a part of the document is missing": lambda one: one.pop("questions"),
    "a part nobody declared": lambda one: one.update(extra=1),
    "no fingerprint": lambda one: one["edition"].pop("fingerprint"),
    "an edition numbered 0": lambda one: one["edition"].update(number=0),
    "no title": lambda one: _front(one, FORKS).pop("title"),
    "an empty title": lambda one: _front(one, FORKS).update(title=""),
    "a kind nobody knows": lambda one: _front(one, FORKS).update(kind="guess"),
    "a field of another kind": lambda one: _front(one, FORKS).update(medium="book"),
    "a source that is no source": lambda one: _front(one, "measurements/hub-width").update(source="questions/forks"),
    "a quantity without notation": lambda one: _front(one, "measurements/hub-width").update(quantity=62),
    "a bearing above certainty": lambda one: _front(one, "evidence/row-order")["bearing"].update({DRUM: 1.5}),
    "a bearing on no hypothesis": lambda one: _front(one, "evidence/row-order")["bearing"].update({FORKS: 0.5}),
    "an absence half told": lambda one: _front(one, "evidence/no-pipes")["bearing"].update({RAMS: {}}),
    "a box of three numbers": lambda one: _front(one, "evidence/sleeve-groove")["marks"][0]["box"].pop(),
    "a date in words": lambda one: _front(one, "sources/handbook").update(date="May 2031"),
    "a grade beyond F": lambda one: _front(one, "sources/handbook").update(reliability="G"),
    "a decision on nothing": lambda one: _front(one, "decisions/model-drum").update(grounds=[]),
    "a lookout with one outcome": lambda one: _front(one, "lookouts/cover-inside")["outcomes"].pop("flat-plate"),
    "an input bound by a guess": lambda one: one["calculations"][0]["inputs"][0].update(ground="guess"),
    "a figure without its interval": lambda one: one["calculations"][0]["outputs"][0]["figure"].pop("high-95"),
    "a negative uncertainty": lambda one: one["calculations"][0]["outputs"][0]["figure"].update(uncertainty=-1.0),
    "a setting of no calculation": lambda one: one["calculations"][0].update({"choice-above": {"Rail": {"a": "1 mm"}}}),
    "a setting that is no text": lambda one: one["calculations"][0].update({"choice-above": {LENGTH: {"a": 1.0}}}),
    "a confidence in words": lambda one: one["questions"][0]["rivals"][0].update(confidence="likely"),
    "a confidence below nought": lambda one: one["questions"][0]["rivals"][0].update(confidence=-0.1),
    "a weight in words": lambda one: one["questions"][0]["weights"][0]["decibans"].update({DRUM: "heavy"}),
    "a reference with a capital": lambda one: _entry(one, FORKS).update(ref="questions/Forks"),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_the_schema_refuses_a_planted_fault(
    checker: jsonschema.Draft202012Validator, document: Document, fault: str
) -> None:
    """A document that is wrong in one place does not keep the schema."""
    broken = copy.deepcopy(document)
    FAULTS[fault](broken)
    assert list(checker.iter_errors(broken))


def test_every_entry_reads_back_as_itself(document: Document) -> None:
    """The front matter of every entry, withdrawn ones too, reads back as the entry it came from; bodies are whole."""
    made = casebook()
    for part, items in (("entries", made.entries), ("withdrawn", made.withdrawn)):
        shown = {ref: item for ref, item in items.items() if ref != "replies/held-back"}
        assert [one["ref"] for one in document[part]] == list(shown)
        for one in document[part]:
            item = items[one["ref"]]
            assert MODELS[one["kind"]].model_validate(one["front"], by_alias=True, by_name=False) == item.entry
            assert one["body"] == item.body
            assert one["revisions"] == item.revisions


def test_a_reader_finds_who_leads_and_why(document: Document) -> None:
    """Leader, interval, account and weights stand where the schema says, with the casebook's numbers."""
    made = casebook()
    asked = next(one for one in document["questions"] if one["ref"] == FORKS)
    assert asked["leader"] == DRUM
    first = asked["rivals"][0]
    assert (first["rival"], first["low-90"], first["confidence"], first["high-90"]) == (DRUM, 0.61, 0.78, 0.89)
    assert first["feasibility"] == 0.9296
    assert sum(one["confidence"] for one in asked["rivals"]) == pytest.approx(1)
    assert sum(line["decibans"] for line in asked["account"]["lines"]) == pytest.approx(asked["account"]["total"])
    weights = {one["of"]: one["decibans"] for one in asked["weights"]}
    assert weights == made.weighings[FORKS].weights


def test_a_reader_finds_results_with_their_cautions(document: Document) -> None:
    """Every result has estimate, interval, unit and criteria, and the calculator's cautions beside them."""
    worked = {one["ref"]: one for one in document["calculations"]}
    length = worked[LENGTH]
    assert length["outputs"][0] == {
        "name": "length",
        "label": "Length in all",
        "unit": "mm",
        "form": "number",
        "figure": {"estimate": 54.4, "uncertainty": 1.2, "low-95": 52.1, "high-95": 56.6},
    }
    assert length["criteria"] == [{"output": "length", "limit": "at most 62 ± 3 mm", "chance": 0.9995}]
    assert all(one["cautions"] == list(REGISTER[one["calculator"]].cautions) for one in worked.values())
    assert [one["ref"] for one in document["refused"]] == ["calculations/rams-torque"]
    assert document["cautions"]


def test_measurements_are_told_in_numbers_too(document: Document) -> None:
    """Beside the notation stand mean and deviation: a half-width of 3 mm covers 95 % of a normal quantity."""
    told = _entry(document, "measurements/hub-width")["measured"]
    assert (told["mean"], told["unit"], told["shape"]) == (62.0, "mm", "normal")
    assert told["deviation"] == pytest.approx(3 / 1.959964)
    assert isinstance(casebook().entries["measurements/hub-width"].entry, Measurement)


def test_the_setting_of_what_a_calculation_stands_on_is_told(checker: jsonschema.Draft202012Validator) -> None:
    """Where calculations were set anew for one that stands on them, it says so; where they were not, nothing."""
    made = casebook()
    above = {"calculations/drum-states": {"drum radius": "24 mm"}}
    results = {**made.results, LENGTH: replace(made.results[LENGTH], choice={"play": "0.4 mm"}, above=above)}
    told = json.loads(as_json.files(replace(made, results=results), REGISTER)[as_json.NAME])
    worked = {one["ref"]: one for one in told["calculations"]}
    assert (worked[LENGTH]["choice"], worked[LENGTH]["choice-above"]) == ({"play": "0.4 mm"}, above)
    assert [ref for ref, one in worked.items() if "choice-above" in one] == [LENGTH]
    assert [error.message for error in checker.iter_errors(told)] == []


def _with(made: Casebook, summary: Summary) -> Casebook:
    result = made.results[LENGTH]
    outcomes = (replace(result.outcomes[0], summary=summary),)
    return replace(made, results={**made.results, LENGTH: replace(result, outcomes=outcomes)})


@pytest.mark.parametrize("number", [nan, inf, -inf])
def test_a_number_that_is_none_is_refused_with_its_place(number: float) -> None:
    """JSON has no word for what is no number, so nothing is handed out, and the message says where it stands."""
    with pytest.raises(WitnessError, match=r"ledger\.json: Figure estimate: given -?(nan|inf); expected"):
        as_json.files(_with(casebook(), Summary(number, 1.0, 0.0, 2.0)), REGISTER)
    with pytest.raises(ValueError, match="not JSON compliant"):
        as_json.encoded({"one": number})


def test_rounding_beyond_certainty_is_taken_off() -> None:
    """A chance that rounding has put a hair above 1 is 1; one that is well above is refused."""
    made = casebook()

    def with_chance(chance: float) -> Casebook:
        return replace(made, feasibility={DRUM: chance, CAM: 0.0})

    told = json.loads(as_json.files(with_chance(1 + 2e-16 * 3), REGISTER)[as_json.NAME])
    assert {one["rival"]: one.get("feasibility") for one in told["questions"][0]["rivals"]}[DRUM] == 1
    with pytest.raises(WitnessError, match=r"Rival feasibility: given 1\.1"):
        as_json.files(with_chance(1.1), REGISTER)


def test_a_field_whose_reader_has_no_shape_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """The schema is not made by guessing: a field that is read in a way it does not know stops it."""
    monkeypatch.delitem(schema.SHAPES, parse)
    with pytest.raises(LookupError, match="no shape is known of what parse reads"):
        schema.schema()


def test_every_default_in_the_schema_keeps_the_schema_itself(files: dict[str, bytes]) -> None:
    """What the schema gives for a field that was not written is itself a value of that field."""
    read = json.loads(files[schema.NAME])
    found = 0
    for model in read["$defs"].values():
        for field in model.get("properties", {}).values():
            if "default" in field:
                jsonschema.Draft202012Validator({**field, "$defs": read["$defs"]}).validate(field["default"])
                found += 1
    assert found > 30
