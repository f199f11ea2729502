"""The provenance as others read it: the prov library, the submission's own schema that comes with it, networkx."""

from __future__ import annotations

import copy
import json
import warnings
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from importlib import resources
from typing import Any

import jsonschema
import networkx
import pytest
from prov.model import ProvDocument, ProvElement, ProvRecord, ProvRelation

from ledger.casebook.values import Casebook
from ledger.errors import WitnessError
from ledger.handing import as_prov
from ledger.store.chain import Link
from tests.casebook_entries import FRONTS
from tests.casebooks import casebook, item
from tests.handed import FIRST, LATER, chain, history_of

Document = dict[str, Any]
BENCH, GROOVE = "sources/bench-left", "evidence/sleeve-groove"
RECORDS = {
    "entity": "ProvEntity",
    "activity": "ProvActivity",
    "agent": "ProvAgent",
    "wasGeneratedBy": "ProvGeneration",
    "used": "ProvUsage",
    "wasInvalidatedBy": "ProvInvalidation",
    "wasDerivedFrom": "ProvDerivation",
    "wasAttributedTo": "ProvAttribution",
    "wasAssociatedWith": "ProvAssociation",
    "specializationOf": "ProvSpecialization",
}


def made(book: Casebook | None = None, history: tuple[Link, ...] | None = None) -> Document:
    """Return the provenance of a casebook, the hand-made one unless said, as any reader of JSON gets it."""
    book = casebook() if book is None else book
    read: Document = json.loads(as_prov.files(book, history_of(book) if history is None else history)[as_prov.NAME])
    return read


@pytest.fixture(scope="module")
def document() -> Document:
    """The provenance of the hand-made casebook."""
    return made()


def read(document: Document) -> ProvDocument:
    """Return the document as the prov library reads it, whatever it finds odd being an error."""
    with warnings.catch_warnings(action="error"):
        return ProvDocument.deserialize(content=json.dumps(document), format="json")


def complaints(document: Document) -> list[str]:
    """Return what the submission's schema says against a document."""
    told = json.loads((resources.files("prov") / "tests" / "schemas" / "prov-json.schema.json").read_text("utf-8"))
    kind = jsonschema.validators.validator_for(told)
    kind.check_schema(told)
    return [error.message for error in kind(told).iter_errors(document)]


def unstated(document: ProvDocument) -> set[str]:
    """Return what relations name and nothing states."""
    stated = {str(record.identifier) for record in document.get_records(ProvElement)}
    named = {str(value) for record in document.get_records(ProvRelation) for _, value in record.formal_attributes[:2]}
    return named - stated - {"None"}


def derivations(document: ProvDocument) -> networkx.DiGraph:
    """Return what stands on what as a graph."""
    return networkx.DiGraph(pairs(document, "ProvDerivation"))


def pairs(document: ProvDocument, kind: str) -> list[tuple[str, str]]:
    """Return the first two parties of every relation of a kind, without their prefix."""
    return [
        (_bare(record.formal_attributes[0][1]), _bare(record.formal_attributes[1][1]))
        for record in document.get_records()
        if type(record).__name__ == kind
    ]


def _bare(name: object) -> str:
    return str(name).removeprefix("ledger:")


def test_the_prov_library_reads_every_statement(document: Document) -> None:
    """It finds as many of each kind as were written, and writes and reads them again as the same document."""
    found = read(document)
    counted = Counter(type(record).__name__ for record in found.get_records())
    assert counted == {RECORDS[kind]: len(said) for kind, said in document.items() if kind != "prefix"}
    again = ProvDocument.deserialize(content=found.serialize(format="json"), format="json")
    assert again == found
    assert found.get_provn().count("wasDerivedFrom(") == len(document["wasDerivedFrom"])


def test_the_submissions_schema_has_nothing_against_it(document: Document) -> None:
    """The JSON Schema of the W3C member submission, as the prov library brings it, is kept."""
    assert complaints(document) == []


def _first(document: Document, kind: str) -> Document:
    statement: Document = next(iter(document[kind].values()))
    return statement


SCHEMA_FAULTS: dict[str, Callable[[Document], object]] = {
    "a kind nobody knows": lambda one: one.update(wasGuessedFrom={"_:g1": {}}),
    "a prefix that is no text": lambda one: one["prefix"].update(ledger=1),
    "a generation of nothing": lambda one: _first(one, "wasGeneratedBy").pop("prov:entity"),
    "a derivation half told": lambda one: _first(one, "wasDerivedFrom").pop("prov:usedEntity"),
    "a time that is a number": lambda one: _first(one, "wasGeneratedBy").update({"prov:time": 1}),
    "an attribute that is a list of lists": lambda one: _first(one, "entity").update({"word:odd": [[1]]}),
}
READER_FAULTS: dict[str, Callable[[Document], object]] = {
    "a kind nobody knows": lambda one: one.update(wasGuessedFrom={"_:g1": {}}),
    "a time in words": lambda one: _first(one, "wasGeneratedBy").update({"prov:time": "at noon"}),
    "a name without its prefix": lambda one: one["prefix"].pop("ledger"),
    "a relation to two things": lambda one: _first(one, "used").update({"prov:entity": ["ledger:a", "ledger:b"]}),
}


@pytest.mark.parametrize("fault", SCHEMA_FAULTS)
def test_the_submissions_schema_refuses_a_planted_fault(document: Document, fault: str) -> None:
    """A document that is wrong in one place does not keep the schema."""
    broken = copy.deepcopy(document)
    SCHEMA_FAULTS[fault](broken)
    assert complaints(broken)


@pytest.mark.parametrize("fault", READER_FAULTS)
def test_the_prov_library_refuses_a_planted_fault(document: Document, fault: str) -> None:
    """A document that is wrong in one place is not read without complaint."""
    broken = copy.deepcopy(document)
    READER_FAULTS[fault](broken)
    with pytest.raises(Exception, match=r".+"):
        read(broken)


def test_whatever_is_named_is_stated(document: Document) -> None:
    """No relation names a thing, activity or agent that the document does not state; one that did would be found."""
    assert unstated(read(document)) == set()
    broken = copy.deepcopy(document)
    del broken["entity"][f"ledger:{BENCH}/1"]
    assert unstated(read(broken)) == {f"ledger:{BENCH}/1"}


def test_nothing_stands_on_itself(document: Document) -> None:
    """Following what stands on what never comes back to where it began; a circle would be found."""
    found = derivations(read(document))
    assert networkx.is_directed_acyclic_graph(found)
    broken = copy.deepcopy(document)
    circle = {"prov:generatedEntity": f"ledger:{BENCH}/1", "prov:usedEntity": f"ledger:{GROOVE}/3"}
    broken["wasDerivedFrom"]["_:circle"] = circle
    assert not networkx.is_directed_acyclic_graph(derivations(read(broken)))


def _statements(document: ProvDocument, kind: str) -> Iterator[ProvRecord]:
    return (record for record in document.get_records() if type(record).__name__ == kind)


def test_everything_has_its_grounds(document: Document) -> None:
    """Counted by hand from the casebook: notes on sources, a decision on grounds, results on inputs."""
    stands_on = derivations(read(document))
    for ref, front in FRONTS.items():
        if ref.startswith(("evidence/", "measurements/")):
            mine = f"{ref}/3" if ref == GROOVE else f"{ref}/1"
            assert (mine, f"sources/{front['source']}/1") in stands_on.edges
    assert set(stands_on.successors("decisions/model-drum/1")) == {"hypotheses/drum/1", "measurements/hub-width/1"}
    assert set(stands_on.successors("evidence/round-boss/1")) == {f"{BENCH}/1", "measurements/hub-width/1"}
    assert set(stands_on.successors("calculations/cam-length/result")) == {
        "calculations/cam-length/1",
        "calculations/drum-length/result",
    }
    assert ("sources/club-letter/told-of", "sources/foreman/told-of") in stands_on.edges
    assert {"calculations/cam-length/result", f"{GROOVE}/3", "hypotheses/face-cam/1"} <= set(
        stands_on.successors("questions/forks/confidences")
    )
    assert "evidence/pitch-note/1" not in stands_on.successors("questions/forks/confidences")
    uses = pairs(read(document), "ProvUsage")
    assert ("calculations/cam-length/run", "calculations/drum-length/result") in uses


def test_every_revision_is_posted_once_at_the_time_of_the_record(document: Document) -> None:
    """Three revisions of the groove: the first with everything else, two later; each revises the one before it."""
    found = read(document)
    times = {
        _bare(record.formal_attributes[0][1]): record.formal_attributes[2][1]
        for record in _statements(found, "ProvGeneration")
    }
    assert [times[f"{GROOVE}/{number}"].strftime("%Y-%m-%dT%H:%M:%SZ") for number in (1, 2, 3)] == [FIRST, LATER, LATER]
    assert times["calculations/drum-length/result"] is None
    generated = [name for name, _ in pairs(found, "ProvGeneration")]
    assert len(generated) == len(set(generated))
    assert {(f"{GROOVE}/2", f"{GROOVE}/1"), (f"{GROOVE}/3", f"{GROOVE}/2")} <= derivations(found).edges
    assert pairs(found, "ProvSpecialization").count((f"{GROOVE}/2", GROOVE)) == 1
    runs = [one for one in _statements(found, "ProvActivity") if _bare(one.identifier).endswith(("/run", "/weighing"))]
    assert runs
    assert all(one.get_startTime() is None and one.get_endTime() is None for one in runs)


def test_authors_have_what_is_theirs(document: Document) -> None:
    """What a source tells of is its author's, a reply its writer's; the ledger's author and the program post."""
    found = read(document)
    names = {
        _bare(one.identifier): next(iter(one.get_attribute("prov:label"))) for one in _statements(found, "ProvAgent")
    }
    owners = {thing: names[agent] for thing, agent in pairs(found, "ProvAttribution")}
    assert owners[f"{BENCH}/told-of"] == "M. Varga"
    assert owners["replies/reader-doubt"] == "P. Okafor"
    assert BENCH not in owners
    posted = {names[agent] for activity, agent in pairs(found, "ProvAssociation") if activity == "posting/1"}
    assert posted == {"A. Ledgerkeeper", as_prov.PROGRAM}
    assert len(set(names.values())) == len(names)


def test_a_withdrawn_entry_has_ended(document: Document) -> None:
    """The thing that was withdrawn is told as ended by the posting that withdrew it, and nothing else is."""
    assert pairs(read(document), "ProvInvalidation") == [("evidence/paint-line", "posting/1")]


def test_what_may_not_be_shown_is_nowhere() -> None:
    """A reply without consent, an erased entry and the words of revisions are in no statement; nor is their posting."""
    book = casebook()
    history = list(history_of(book))
    steps = [(link.entry, link.kind, link.name, link.action, link.at) for link in history]
    gone = len(steps) + 1
    later = "2031-07-01T10:00:00Z"
    steps += [(gone, "reply", "asked-to-be-forgotten", action, later) for action in ("new", "erased")]
    text = json.dumps(made(book, chain(steps)))
    assert "2031-07-01" not in text
    for word in ("held-back", "Someone private", "forgotten", " as of ", "Private"):
        assert word not in text


def test_a_ground_is_the_revision_that_stood_at_the_time() -> None:
    """A note stands on the source as it was when the note was posted, not as it was revised afterwards."""
    fronts = {ref: FRONTS[ref] for ref in ("investigation/box", BENCH)}
    note = {**FRONTS[GROOVE], "bearing": {}}
    entries = {ref: item(ref, front) for ref, front in {**fronts, GROOVE: note}.items()}
    entries[BENCH] = replace(entries[BENCH], revisions=3)
    book = replace(
        casebook(), entries=entries, withdrawn={}, results={}, weighings={}, feasibility={}, refused={}, used_by={}
    )
    steps = [
        (1, "investigation", "box", "new", FIRST),
        (2, "source", "bench-left", "new", FIRST),
        (3, "evidence", "sleeve-groove", "new", LATER),
        (2, "source", "bench-left", "revised", LATER),
        (2, "source", "bench-left", "revised", "2031-08-01T00:00:00Z"),
    ]
    stands_on = derivations(read(made(book, chain(steps))))
    assert list(stands_on.successors(f"{GROOVE}/1")) == [f"{BENCH}/2"]


def test_a_renamed_entry_keeps_its_revisions() -> None:
    """Revisions under a former name are those of the entry; a reader finds them under its present one."""
    book = casebook()
    number = next(link.entry for link in history_of(book) if link.name == "drum")
    steps = [
        (link.entry, link.kind, "barrel" if link.entry == number else link.name, link.action, link.at)
        for link in history_of(book)
    ]
    steps.append((number, "hypothesis", "drum", "renamed", "2031-07-01T10:00:00Z"))
    drum = replace(book.entries["hypotheses/drum"], revisions=2)
    stands_on = derivations(read(made(replace(book, entries={**book.entries, drum.ref: drum}), chain(steps))))
    assert next(iter(stands_on.successors("hypotheses/drum/2"))) == "hypotheses/drum/1"
    assert not any("barrel" in name for name in stands_on)


def test_a_history_that_goes_on_changes_nothing_before_it() -> None:
    """What was posted after the casebook was opened is not told of."""
    book = casebook()
    history = history_of(book)
    steps = [(link.entry, link.kind, link.name, link.action, link.at) for link in history]
    steps.append((1, history[0].kind, history[0].name, "revised", "2031-09-09T09:09:09Z"))
    assert made(book, chain(steps)) == made(book)


@pytest.mark.parametrize("keep", [0, 5, -1])
def test_a_history_that_lacks_something_is_refused(keep: int) -> None:
    """Where revisions of an entry are missing nothing is made up: the message names the entries."""
    with pytest.raises(WitnessError, match=r"provenance\.json: given a history without all revisions of [a-z]+/"):
        as_prov.files(casebook(), history_of(casebook())[:keep])
