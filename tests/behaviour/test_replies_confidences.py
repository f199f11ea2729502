"""Readers' confidences in entry files: faults told once, and what a reader could not know held against nobody."""

from __future__ import annotations

from typing import Any

import pytest

from ledger.entries.checking import check_ledger
from ledger.entries.reading import examine
from ledger.entries.writing import write
from ledger.errors import Fault
from tests.ledger_files import SMALL


def faults(confidences: dict[str, Any], body: str = "Words.\n", **more: Any) -> tuple[list[Fault], list[Fault]]:
    """Faults and warnings of a small ledger with a reply that states these, read and checked as a posting does."""
    front = {"kind": "reply", "title": "A view", "about": "questions/forks", "stance": "doubt", "date": "2031-06-01",
             "consent": True, "confidences": confidences, **more}  # fmt: skip
    texts = {**SMALL, "replies/a-view": write(front, body)}
    read = {ref: examine(text, *ref.split("/")) for ref, text in texts.items()}
    own = [fault for _, wrong in read.values() for fault in wrong]
    documents = {ref: document for ref, (document, _) in read.items() if document is not None}
    checked = check_ledger(documents, {"replies/a-view"})
    return own + list(checked.faults), list(checked.warnings)


@pytest.mark.parametrize(
    "confidences",
    [
        {"drum": "likely", "none-of-these": 0.1},
        {"drum": "likely", "face-cam": "unlikely", "none-of-these": 0.1},
        {"drum": "60 %", "face-cam": 0.3, "none-of-these": 0.1},
        {"drum": "likely"},
    ],
    ids=str,
)
def test_confidences_in_words_are_told_each_at_its_line_and_nothing_more(confidences: dict[str, Any]) -> None:
    """What is left of them is not held to be `none-of-these` alone, nor to lack a rival, nor to sum to something."""
    worded = [f"confidences.{name}" for name, share in confidences.items() if isinstance(share, str)]
    told, _ = faults(confidences)
    assert [fault.field for fault in told] == worded
    assert all(fault.expected == "a number" for fault in told)


def test_none_of_these_alone_is_still_refused() -> None:
    """Where a person wrote just that."""
    (fault,), _ = faults({"none-of-these": 1})
    assert fault.given == "`none-of-these` alone"


def test_a_rival_that_the_reader_did_not_have_is_looked_at_only() -> None:
    """With a share for none of these the missing rival is in that; without one it is a fault."""
    told, looks = faults({"drum": 0.6, "none-of-these": 0.4})
    assert told == []
    assert [(one.field, one.given) for one in looks] == [("confidences", "nothing for face-cam")]
    (fault,), _ = faults({"drum": 1})
    assert fault.given == "nothing for face-cam"


def test_links_in_a_reader_s_words_are_looked_at_only() -> None:
    """They are not the author's to mend: what leads nowhere is a warning, where a note's would be a fault."""
    told, looks = faults({}, "See [this](evidence/nothing) and [that](evidence/hiss.md#part).\n")
    assert told == []
    assert [one.field for one in looks] == ["text", "text"]


def test_inputs_name_calculations_that_are_there() -> None:
    """A calculation that is none is told with its line; texts are texts."""
    (fault,), _ = faults({}, inputs={"nothing": {"depth": "30 mm"}})
    assert (fault.field, fault.line > 1) == ("inputs.nothing", True)
    (fault,), _ = faults({}, inputs={"nothing": {"depth": 30}})
    assert fault.expected == "text"
