"""Whatever is broken in a ledger, all rules can be asked of the rest: nothing crashes, and no fault is made up."""

from __future__ import annotations

from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from ledger.calculators.declared import check_calculations
from ledger.entries.checking import check_ledger
from ledger.entries.reading import Document, examine
from ledger.entries.writing import write
from tests import drawn_words
from tests.planting import base
from tests.toys import TOYS

JUNK = st.sampled_from((5, -1, "x", "B B", True, [], [5], {}, {"a": 1}, {"x": {"y": []}}, "measurements/x", "40%", 0.5))
USES = {
    "calculations/sheet": {
        "kind": "calculation",
        "calculator": "plate",
        "hypotheses": ["drum"],
        "inputs": {"width": "measurements/hub-width", "height": {"value": "3 mm", "reason": "x"}},
        "criteria": [{"output": "edge", "at-most": "5 mm"}, {"output": "thin", "holds": True}],
        "observed": {"output": "edge", "measurement": "hub-width"},
    },
    "calculations/fence": {
        "kind": "calculation",
        "calculator": "fence",
        "inputs": {
            "posts": {"chosen": "2..5", "reason": "x"},
            "gap": "calculations/sheet#edge",
            "panels": {"rows": [{"name": "a", "length": "2 m"}, {"length": "measurements/hub-width"}], "reason": "x"},
        },
    },
}


def ledger() -> dict[str, dict[str, Any]]:
    fronts = {ref: {"title": "T", **front} for ref, front in (base() | USES).items()}
    fronts["hypotheses/face-cam"]["predicts"] = {"hub-width": "40..90 mm"}
    return {ref: front for ref, front in fronts.items() if ref not in ("calculations/track", "calculations/load")}


def read(fronts: dict[str, dict[str, Any]]) -> tuple[dict[str, Document], set[str], list[Any]]:
    documents, unread, faults = {}, set(), []
    for ref, front in fronts.items():
        document, wrong = examine(write(front, ""), *ref.split("/"))
        faults += wrong
        if document is None:
            unread.add(ref)
        else:
            documents[ref] = document
    return documents, unread, faults


def places(value: Any, path: tuple[Any, ...] = (), leaves: bool = False) -> list[tuple[Any, ...]]:
    """Return the paths of all values but the kind; with `leaves` only of those that hold no others."""
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    found = [path] if path and not (leaves and inner) else []
    for key, each in inner:
        found += places(each, (*path, key), leaves) if (*path, key) != ("kind",) else []
    return found


def set_at(value: Any, path: tuple[Any, ...], new: Any) -> Any:
    """Return a copy with one value replaced."""
    if not path:
        return new
    copy = dict(value) if isinstance(value, dict) else list(value)
    copy[path[0]] = set_at(value[path[0]], path[1:], new)
    return copy


def test_the_ledger_to_be_broken_is_whole() -> None:
    """Unbroken it has no fault, so that what is told below was broken."""
    documents, unread, faults = read(ledger())
    assert (unread, faults) == (set(), [])
    assert check_ledger(documents, set(documents)).faults == ()
    assert check_calculations(TOYS, documents, set(documents)) == []


@given(st.data())
def test_a_broken_value_is_told_once_and_breaks_no_rule(data: st.DataObject) -> None:
    """A value that its own file's reading refuses is told there, and no rule of the ledger speaks of its absence."""
    fronts = ledger()
    ref = data.draw(st.sampled_from(sorted(fronts)))
    path = data.draw(st.sampled_from(places(fronts[ref], leaves=True)))
    fronts[ref] = set_at(fronts[ref], path, data.draw(JUNK))
    documents, unread, faults = read(fronts)
    checked = check_ledger(documents, set(documents), unread)
    declared = check_calculations(TOYS, documents, set(documents))
    if faults:
        assert checked.faults == (), (path, faults)
        assert declared == [], (path, faults)


@given(st.data())
def test_any_junk_can_be_checked(data: st.DataObject) -> None:
    """Many broken values at once, in entries of every kind, give faults and never a crash."""
    fronts = ledger()
    for _ in range(data.draw(st.integers(1, 6))):
        ref = data.draw(st.sampled_from(sorted(fronts)))
        path = data.draw(st.sampled_from(places(fronts[ref])))
        fronts[ref] = set_at(fronts[ref], path, data.draw(JUNK))
        if data.draw(st.booleans()):
            fronts[ref] = {**fronts[ref], data.draw(drawn_words.names()): data.draw(JUNK)}
    documents, unread, _ = read(fronts)
    for fault in (*check_ledger(documents, set(documents), unread).faults,
                  *check_calculations(TOYS, documents, set(documents))):  # fmt: skip
        assert fault.line >= 0
        assert fault.remedy
