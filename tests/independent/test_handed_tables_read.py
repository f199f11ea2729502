"""The tables as others read them: Python's own csv reader, and pandas told nothing but the columns' types."""

from __future__ import annotations

import csv
import io
from dataclasses import replace

import pandas
import pytest

from ledger.casebook.values import Casebook
from ledger.handing import as_csv
from ledger.handing.tables import TABLES
from ledger.weighing.values import NONE
from tests.casebook_calculators import REGISTER
from tests.casebooks import CAM, DRUM, FORKS, RAMS, casebook

DTYPES = {"text": "string", "number": "float64", "whole": "Int64", "truth": "boolean"}
ASKED = ("entries", "sources", "notes", "measurements", "calculations", "confidences", "decisions", "references")
RUNS = "=+-@\t\r"


def rows(book: Casebook, table: str) -> list[dict[str, str]]:
    """Return a table's rows as the standard library reads them."""
    text = as_csv.files(book, REGISTER)[f"{table}.csv"].decode()
    return list(csv.DictReader(io.StringIO(text, newline="")))


def written(cell: str) -> str:
    """Return the text that a cell was made from."""
    return cell.removeprefix("'")


def back(content: bytes, columns: dict[str, str]) -> pandas.DataFrame:
    """Return a table as pandas reads it, texts as they were before anything was put before them."""
    types = {name: DTYPES[form] for name, form in columns.items()}
    numbers = {name: [""] for name, form in columns.items() if form != "text"}
    read = pandas.read_csv(io.BytesIO(content), dtype=types, keep_default_na=False, na_values=numbers)
    for name, form in columns.items():
        if form == "text":
            read[name] = read[name].map(written).astype("string")
    return read


def same(read: pandas.DataFrame, frame: pandas.DataFrame) -> None:
    """Hold a table that was read against the one that was written; a text that was not stated is an empty one."""
    expected = frame.copy()
    for name in expected.columns:
        if expected[name].dtype == "string":
            expected[name] = expected[name].fillna("")
    pandas.testing.assert_frame_equal(read, expected, check_exact=True, check_dtype=False)


def with_title(title: str) -> Casebook:
    """Return the casebook with one entry's title, body and a source's author set."""
    made = casebook()
    old, source = made.entries["evidence/sleeve-groove"], made.entries["sources/bench-left"]
    entries = {
        **made.entries,
        old.ref: replace(old, body=title, entry=old.entry.model_copy(update={"title": title})),
        source.ref: replace(source, entry=source.entry.model_copy(update={"author": title, "rights": title})),
    }
    return replace(made, entries=entries)


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_pandas_reads_back_what_was_written(table: as_csv.Table) -> None:
    """Every text, number, truth and missing cell comes back as it was, numbers to the last bit."""
    made = casebook()
    frame = as_csv.frames(made, REGISTER)[table.name]
    assert len(frame)
    same(back(as_csv.files(made, REGISTER)[f"{table.name}.csv"], dict(table.columns)), frame)


def test_a_changed_cell_would_be_noticed() -> None:
    """The comparison refuses a table in which one digit was changed."""
    made = casebook()
    content = as_csv.files(made, REGISTER)["confidences.csv"]
    table = next(table for table in TABLES if table.name == "confidences")
    with pytest.raises(AssertionError):
        same(back(content.replace(b"0.78", b"0.79"), dict(table.columns)), as_csv.frames(made, REGISTER)["confidences"])


def test_every_table_is_there_and_told_of() -> None:
    """One file a table, and a text that names each with its columns and says what is put before a text."""
    files = as_csv.files(casebook(), REGISTER)
    assert {f"{name}.csv" for name in ASKED} < set(files)
    told = files[as_csv.ABOUT].decode()
    for table in TABLES:
        assert f"{table.name}.csv: one row is" in told
        assert ", ".join(table.columns) in told
    assert "apostrophe" in told
    assert "never rate a part that carries" in told


def test_rows_say_what_the_casebook_says() -> None:
    """Counted by hand from the casebook: bearings, absences, confidences, weights, outputs, grounds."""
    made = casebook()
    notes = rows(made, "notes")
    groove = [row for row in notes if row["note"] == "evidence/sleeve-groove"]
    assert [(row["rival"], row["by"], row["stated"], row["least"], row["greatest"]) for row in groove] == [
        (DRUM, "name", "0.9", "0.9", "0.9"),
        (CAM, "name", "very likely", "0.8", "0.95"),
        (RAMS, "others", "0.2..0.6", "0.2", "0.6"),
    ]
    assert {row["question"] for row in groove} == {FORKS}
    absent = next(row for row in notes if row["absence"] == "True")
    assert (absent["note"], absent["stated"], float(absent["least"])) == (
        "evidence/no-pipes",
        "0.8",
        pytest.approx(0.2),
    )
    leads = [row for row in rows(made, "confidences") if row["leads"] == "True"]
    assert next((row["question"], row["rival"], row["low_90"], row["high_90"]) for row in leads) == (
        FORKS,
        DRUM,
        "0.61",
        "0.89",
    )
    weight = next(row for row in rows(made, "weights") if row["of"] == "evidence/round-boss" and row["rival"] == NONE)
    assert weight["decibans"] == "-0.9"
    outputs = rows(made, "calculations")
    length = next(row for row in outputs if row["calculation"] == "calculations/drum-length")
    assert (length["estimate"], length["unit"]) == ("54.4", "mm")
    assert length["cautions"] == "A shaft that turns draws in cloth and fingers: cover a model before it runs."
    refused = next(row for row in outputs if row["calculation"] == "calculations/rams-torque")
    assert refused["refused"]
    assert not refused["output"]
    assert [row["ground"] for row in rows(made, "decisions")] == ["hypotheses/drum", "measurements/hub-width"]
    assert {"entry": "replies/reader-doubt", "field": "about", "refers_to": "evidence/sleeve-groove"} in rows(
        made, "references"
    )


@pytest.mark.parametrize(
    "words",
    ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "\n=1", " =1", "\u00a0=1", "\ufeff=1", "＝1", "'=1", "'", "''=1",
     '=HYPERLINK("http://a.example";"x")', "=cmd|' /C calc'!A0", "a=1", "plain", '"=1"', "x,=1", "a\r\n=1"],
)  # fmt: skip
def test_no_cell_begins_like_a_formula(words: str) -> None:
    """However a title begins, no text cell begins with a sign that spreadsheets run; taken off, the text is back."""
    made = with_title(words)
    for table in TABLES:
        texts = [name for name, form in table.columns.items() if form == "text"]
        for row in rows(made, table.name):
            assert not any(row[name].lstrip().startswith(tuple(RUNS)) or row[name][:1] in set(RUNS) for name in texts)
    row = next(row for row in rows(made, "entries") if row["entry"] == "evidence/sleeve-groove")
    assert written(row["title"]) == written(row["body"]) == words
    read = back(as_csv.files(made, REGISTER)["entries.csv"], dict(TABLES[0].columns))
    assert words in set(read["title"])


def test_without_the_apostrophe_the_check_would_speak(monkeypatch: pytest.MonkeyPatch) -> None:
    """The check above finds a formula where nothing is put before it."""
    monkeypatch.setattr(as_csv, "safe", lambda text: text)
    with pytest.raises(AssertionError):
        test_no_cell_begins_like_a_formula("=1+1")


def test_negative_numbers_stay_numbers() -> None:
    """A weight below nought is no formula: nothing is put before it."""
    assert any(row["decibans"].startswith("-") for row in rows(casebook(), "weights"))


def test_a_calculation_with_rows_alone_has_its_row() -> None:
    """A calculation of which every output is rows is not lost: it stands in the table without an output."""
    made = casebook()
    states = made.results["calculations/drum-states"]
    only = replace(states, outcomes=(states.outcome("table"),))
    told = rows(replace(made, results={**made.results, states.ref: only}), "calculations")
    assert [row["output"] for row in told if row["calculation"] == states.ref] == [""]
