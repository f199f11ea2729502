"""What holds of every ledger that is handed out, whatever words are in it."""

from __future__ import annotations

import csv
import io
import json
import warnings
from dataclasses import replace

import bibtexparser
import jsonschema
import pandas
import pytest
from bibtexparser.middlewares import LatexDecodingMiddleware
from citeproc.source.json import CiteProcJSON
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from prov.model import ProvDocument

from ledger.casebook.values import Casebook
from ledger.entries.models import MODELS
from ledger.handing import as_bibtex, as_csl, as_csv, as_json, as_prov, schema
from ledger.handing.forms import FORMS, handed_out
from ledger.handing.fronts import plain
from ledger.handing.leaving import WITHHELD, leaving
from ledger.handing.tables import TABLES
from tests import drawn_entries, drawn_ledgers, drawn_words
from tests.casebooks import casebook
from tests.handed import casebook_of, history_of, private

SCHEMA = schema.schema()
CHECKER = jsonschema.Draft202012Validator(SCHEMA)
CHECKERS = {
    kind: jsonschema.Draft202012Validator({"$ref": f"#/$defs/{model.__name__}", "$defs": SCHEMA["$defs"]})
    for kind, model in MODELS.items()
}
FRONTS = {kind: drawn_entries.fronts(kind) for kind in MODELS}
SLOWLY = settings(max_examples=20, suppress_health_check=[HealthCheck.too_slow])


def written(cell: str) -> str:
    """The text that a cell was made from."""
    return cell.removeprefix("'")


@st.composite
def said(draw: st.DrawFn) -> Casebook:
    """A casebook of a drawn ledger in which every title and author is hostile."""
    ledger = {
        place: ({**front, "title": draw(drawn_words.hostile())}, body)
        for place, (front, body) in draw(drawn_ledgers.ledgers()).items()
    }
    for (folder, _), (front, _body) in ledger.items():
        if folder == "sources":
            front |= {"author": draw(drawn_words.hostile()), "rights": draw(drawn_words.hostile())}
    return casebook_of(ledger)


@pytest.mark.parametrize("kind", MODELS)
@given(data=st.data())
@settings(max_examples=40, suppress_health_check=[HealthCheck.too_slow])
def test_front_matter_reads_back_and_keeps_its_schema(kind: str, data: st.DataObject) -> None:
    """What a checked entry is written as reads back as the same entry, is plain JSON, and keeps the kind's schema."""
    entry = MODELS[kind].model_validate(data.draw(FRONTS[kind]), by_alias=True, by_name=False)
    told = json.loads(json.dumps(plain(entry), allow_nan=False))
    assert MODELS[kind].model_validate(told, by_alias=True, by_name=False) == entry
    assert [error.message for error in CHECKERS[kind].iter_errors(told)] == []


@pytest.mark.parametrize("kind", MODELS)
@given(data=st.data())
@settings(max_examples=20, suppress_health_check=[HealthCheck.too_slow])
def test_front_matter_with_a_fault_does_not_keep_its_schema(kind: str, data: st.DataObject) -> None:
    """A field too many, a needed one too few, or one that is nothing is refused, whatever the rest says."""
    told = plain(MODELS[kind].model_validate(data.draw(FRONTS[kind]), by_alias=True, by_name=False))
    needed = [field.alias or name for name, field in MODELS[kind].model_fields.items() if field.is_required()]
    lost = data.draw(st.sampled_from(sorted(needed)))
    checker = CHECKERS[kind]
    assert checker.is_valid(told)
    assert not checker.is_valid({**told, "odd": 1})
    assert not checker.is_valid({key: value for key, value in told.items() if key != lost})
    assert not checker.is_valid({**told, lost: None})


@SLOWLY
@given(said())
def test_the_document_keeps_its_schema(book: Casebook) -> None:
    """The whole ledger as JSON keeps the published schema, and its words are the ledger's."""
    document = json.loads(as_json.files(book)[as_json.NAME])
    assert [error.message for error in CHECKER.iter_errors(document)] == []
    assert [one["front"]["title"] for one in document["entries"]] == [item.title for item in book.entries.values()]
    assert [one["body"] for one in document["entries"]] == [item.body for item in book.entries.values()]


@SLOWLY
@given(said())
def test_tables_read_back_and_run_nothing(book: Casebook) -> None:
    """Both readers give every cell back, and no text cell begins with what a spreadsheet runs."""
    files, frames = as_csv.files(book), as_csv.frames(book)
    for table in TABLES:
        content, frame = files[f"{table.name}.csv"], frames[table.name]
        texts = [name for name, form in table.columns.items() if form == "text"]
        rows = list(csv.DictReader(io.StringIO(content.decode(), newline="")))
        assert len(rows) == len(frame)
        read = pandas.read_csv(io.BytesIO(content), dtype=dict.fromkeys(texts, "string"), keep_default_na=False)
        for name in texts:
            cells = [row[name] for row in rows]
            assert not any(cell.startswith(tuple("\t\r\n")) for cell in cells)
            assert not any(cell.lstrip().lstrip("\ufeff").startswith(tuple("=+-@＝＋－＠")) for cell in cells)
            expected = frame[name].fillna("").to_list()
            assert [written(cell) for cell in cells] == expected
            assert [written(cell) for cell in read[name]] == expected


@given(drawn_words.hostile())
def test_what_is_put_before_a_text_comes_off_again(text: str) -> None:
    """Safe and written are each other's undoing, and what is safe already stays so."""
    assert written(as_csv.safe(text)) == text
    assert not as_csv.safe(text).startswith(tuple("=+-@\t\r\n＝＋－＠"))


@SLOWLY
@given(said())
def test_bibtex_gives_sources_back(book: Casebook) -> None:
    """Every source has one entry, of which title and author read back as the printable words they were."""
    text = as_bibtex.files(book)[as_bibtex.NAME].decode()
    library = bibtexparser.parse_string(text, append_middleware=[LatexDecodingMiddleware(keep_math_mode=False)])
    assert library.failed_blocks == []
    assert len(library.blocks) == len(library.entries)
    sources = book.of_kind("source")
    assert [entry.key for entry in library.entries] == [item.name for item in sources]
    for item, entry in zip(sources, library.entries, strict=True):
        for name, words in (("title", item.title), ("author", getattr(item.entry, "author", ""))):
            assert entry[name].replace("ˆ", "^") == as_bibtex.printable(words).replace("ˆ", "^")


@SLOWLY
@given(said())
def test_csl_gives_sources_back(book: Casebook) -> None:
    """Every source is one item that citeproc-py reads without complaint; words and dates are the ledger's."""
    items = json.loads(as_csl.files(book)[as_csl.NAME])
    with warnings.catch_warnings(action="error"):
        read = CiteProcJSON(items)
    assert list(read) == [item.name for item in book.of_kind("source")]
    for item, one in zip(book.of_kind("source"), items, strict=True):
        assert one["title"] == item.title
        parts = "-".join(f"{part:02d}" for part in one["issued"]["date-parts"][0])
        assert parts == getattr(item.entry, "date", "")


@SLOWLY
@given(said())
def test_provenance_is_read_whole(book: Casebook) -> None:
    """The prov library finds as many statements as were written, and every entry with its title."""
    document = json.loads(as_prov.files(book, history_of(book))[as_prov.NAME])
    with warnings.catch_warnings(action="error"):
        read = ProvDocument.deserialize(content=json.dumps(document), format="json")
    assert len(read.get_records()) == sum(len(said) for kind, said in document.items() if kind != "prefix")
    for item in (*book.entries.values(), *book.withdrawn.values()):
        (record,) = read.get_record(f"ledger:{item.ref}")
        assert record.get_attribute("prov:label") == {item.title}


@SLOWLY
@given(drawn_ledgers.ledgers(), st.from_regex(r"kept-back-[a-z]{8}", fullmatch=True))
def test_what_was_not_consented_to_is_nowhere(ledger: drawn_ledgers.Ledger, words: str) -> None:
    """No form has a word of a reply without consent, nor its name, though other entries and bodies name it."""
    book = casebook_of(private(ledger, words))
    assert f"replies/{words}" in book.entries
    for content in handed_out(book, history_of(book)).values():
        assert words.encode() not in content
    told = json.loads(as_json.files(book)[as_json.NAME])
    assert CHECKER.is_valid(told)
    taken = next(one for one in told["entries"] if one["ref"] == "decisions/after-a-reply")
    assert taken["front"]["grounds"][0] == WITHHELD
    assert taken["front"]["choice"] == f"As {WITHHELD} says"


@SLOWLY
@given(drawn_ledgers.ledgers())
def test_with_consent_the_same_reply_is_there(ledger: drawn_ledgers.Ledger) -> None:
    """The check above finds the words of a reply that may be shown."""
    made = private(ledger, "kept-back-letters")
    front, body = made["replies", "kept-back-letters"]
    book = casebook_of({**made, ("replies", "kept-back-letters"): ({**front, "consent": True}, body)})
    for name in (as_json.NAME, "entries.csv", as_prov.NAME):
        assert b"kept-back-letters" in handed_out(book, history_of(book))[name]


@SLOWLY
@given(said())
def test_the_same_ledger_gives_the_same_bytes(book: Casebook) -> None:
    """Two casebooks of one ledger give the same files, whichever forms are asked for at once."""
    history = history_of(book)
    again = replace(book, entries=dict(book.entries), withdrawn=dict(book.withdrawn))
    whole = handed_out(book, history)
    assert handed_out(again, history) == whole
    apart: dict[str, bytes] = {}
    for form in FORMS:
        apart |= handed_out(book, history, [form])
    assert apart == whole


def _held_back(*taken: str) -> Casebook:
    """Return the hand-made casebook, its withheld reply renamed once, and the names in `taken` taken."""
    made = casebook()
    hidden = made.entries["replies/held-back"]
    entries = {**made.entries, **{ref: replace(made.entries["replies/reader-doubt"], ref=ref) for ref in taken}}
    entry = hidden.entry.model_copy(update={"formerly": "first-name"})
    return replace(made, entries={**entries, hidden.ref: replace(hidden, entry=entry)})


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("replies/held-back", WITHHELD),
        ("see [it](replies/held-back.md)", f"see [it]({WITHHELD}.md)"),
        ("replies/first-name", WITHHELD),
        ("replies/held-back-again", "replies/held-back-again"),
        ("held-back", "held-back"),
        ("replies/reader-doubt", "replies/reader-doubt"),
        ("![x](data:image/png;base64,iVBORw0KGgo=)", "![x](data:,)"),
        ('<img src="DATA:image/jpeg;base64,AAAA">', '<img src="data:,">'),
        ("data: image of a groove", "data: image of a groove"),
    ],
)
def test_only_what_may_not_leave_is_taken_out(words: str, expected: str) -> None:
    """Names of withheld replies, present and former, and pictures within texts are taken out; all else stays."""
    assert leaving(_held_back()).text(words) == expected
    assert leaving(_held_back()).data({words: [words]}) == {expected: [expected]}


def test_the_name_for_withheld_replies_is_nobodys() -> None:
    """Where an entry has the name that stands for withheld replies, another is taken."""
    assert leaving(_held_back(WITHHELD)).stand_in == f"{WITHHELD}-2"
