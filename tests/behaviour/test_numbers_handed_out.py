"""Numbers as they are handed out: no digits that only floats have put there, and intervals that say which they are."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from typing import Any

import pytest

from ledger.casebook.values import Casebook
from ledger.handing import as_csv, as_json, rounding
from tests.casebook_calculators import REGISTER
from tests.casebooks import DRUM, FORKS, casebook

NOISY = 0.1 + 0.2


def noisy() -> Casebook:
    """Return the hand-made casebook with a confidence that arithmetic has left a digit on."""
    made = casebook()
    weighing = made.weighings[FORKS]
    standings = tuple(replace(one, low=NOISY) if one.rival == DRUM else one for one in weighing.standings)
    return replace(made, weighings={**made.weighings, FORKS: replace(weighing, standings=standings)})


def longest(value: Any) -> int:
    """Return how many digits the longest float of plain data has; what an author wrote is left aside."""
    if isinstance(value, float):
        return len(f"{value!r}".partition("e")[0].replace(".", "").strip("-0"))
    if isinstance(value, dict):
        return max((longest(one) for name, one in value.items() if name != "front"), default=0)
    return max(map(longest, value), default=0) if isinstance(value, list) else 0


def told() -> tuple[dict[str, Any], list[dict[str, str]]]:
    """Return the document, and the rows of the table of confidences."""
    files = {**as_json.files(noisy(), REGISTER), **as_csv.files(noisy(), REGISTER)}
    rows = csv.DictReader(io.StringIO(files["confidences.csv"].decode(), newline=""))
    return json.loads(files[as_json.NAME]), list(rows)


def test_floats_are_handed_out_without_their_noise() -> None:
    """0.1 + 0.2 is 0.3 in the document and in the table, and nothing there has more than twelve digits."""
    document, rows = told()
    asked = next(one for one in document["questions"] if one["ref"] == FORKS)
    assert next(one["low-90"] for one in asked["rivals"] if one["rival"] == DRUM) == 0.3
    assert next(row["low_90"] for row in rows if row["rival"] == DRUM) == "0.3"
    assert longest(document) <= rounding.DIGITS


def test_noise_is_found_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """The check on digits refuses a document with all that floats have."""
    monkeypatch.setattr(as_json, "rounded", lambda value: value)
    assert longest(told()[0]) > rounding.DIGITS


def test_what_an_author_wrote_stays() -> None:
    """An entry's numbers are handed out as they were written, whatever their digits."""
    assert rounding.rounded({"front": {"prior": NOISY}, "prior": NOISY}) == {"front": {"prior": NOISY}, "prior": 0.3}


def test_no_interval_is_nameless() -> None:
    """No column and no field of what is handed out is called low or high alone: 90 % and 95 % would look the same."""
    document, _ = told()
    heads = {head for name, one in as_csv.files(noisy(), REGISTER).items() if name.endswith(".csv")
             for head in one.decode().partition("\n")[0].replace('"', "").split(",")}  # fmt: skip
    assert {"low_90", "high_90", "low_95", "high_95"} <= heads
    assert not {"low", "high"} & heads
    assert '"low":' not in json.dumps({**document, "entries": [], "withdrawn": []})
