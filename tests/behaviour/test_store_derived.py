"""Results, confidences, editions, and the views a person asks in the sqlite3 shell."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from sqlalchemy.exc import IntegrityError

from ledger.errors import NotInLedger, StoreBusy
from ledger.store.derived import (
    Cached,
    Confidence,
    cached_results,
    confidences,
    edition,
    put_results,
    replace_confidences,
)
from ledger.store.engine import Store, open_store
from ledger.store.posting import post
from tests.ledger_files import SMALL, put
from tests.states import fingerprint

AT = "2031-05-17T09:00:00Z"
DRUM = Confidence("questions/forks", "hypotheses/drum", 0.6, 0.7, 0.5, 0.8, 1)
CAM = Confidence("questions/forks", "hypotheses/face-cam", 0.3, 0.1, 0.05, 0.2, 3)
NONE = Confidence("questions/forks", "none-of-these", 0.1, 0.2, 0.1, 0.3, 2)


@pytest.fixture
def entries(tmp_path: Path) -> Path:
    return put(tmp_path / "entries", SMALL)


@pytest.fixture
def store(tmp_path: Path, entries: Path) -> Store:
    store = open_store(tmp_path / "witness.sqlite")
    post(store, entries, AT)
    return store


@pytest.fixture
def shell(store: Store) -> Iterator[sqlite3.Connection]:
    """The store opened as the sqlite3 shell opens it."""
    with closing(sqlite3.connect(store.path)) as connection:
        yield connection


def test_a_result_is_found_by_all_that_went_into_it(store: Store) -> None:
    """A result comes back to the byte with the key of all that went into it; putting it again replaces it."""
    first = Cached("key one", '{"estimate": 1.5}', bytes(range(256)))
    put_results(store, {"calculations/drum": first})
    assert cached_results(store) == {"calculations/drum": first}
    second = replace(first, key="key two")
    put_results(store, {"calculations/drum": second, "calculations/cam": first})
    assert cached_results(store) == {"calculations/drum": second, "calculations/cam": first}


def test_confidences_are_replaced_whole(store: Store) -> None:
    """What was there before is gone; the same rows again write nothing; a bad row leaves the old ones."""
    replace_confidences(store, [CAM, DRUM, NONE])
    assert confidences(store) == (DRUM, NONE, CAM)
    before = store.path.read_bytes()
    replace_confidences(store, [NONE, CAM, DRUM])
    assert store.path.read_bytes() == before
    with pytest.raises(IntegrityError):
        replace_confidences(store, [DRUM, replace(CAM, place=1)])
    assert confidences(store) == (DRUM, NONE, CAM)
    replace_confidences(store, [])
    assert confidences(store) == ()


def test_an_edition_is_numbered_by_its_content(store: Store, entries: Path) -> None:
    """The same content keeps its number and writes nothing; new content takes the next; old content has its old one."""
    assert edition(store) == 1
    before = store.path.read_bytes()
    assert edition(store) == 1
    assert store.path.read_bytes() == before
    put(entries, {"evidence/hiss": SMALL["evidence/hiss"] + "Louder.\n"})
    post(store, entries, AT)
    assert edition(store) == 2
    put(entries, {"evidence/hiss": SMALL["evidence/hiss"]})
    post(store, entries, AT)
    assert edition(store) == 1


def test_content_posted_meanwhile_gets_no_number_unseen(store: Store, entries: Path) -> None:
    """Whoever has read one content does not number another that came between; asked anew, it is numbered."""
    read = fingerprint(store)
    put(entries, {"evidence/hiss": SMALL["evidence/hiss"] + "Louder.\n"})
    post(store, entries, AT)
    with pytest.raises(StoreBusy, match="Publish again"):
        edition(store, read)
    assert edition(store, fingerprint(store)) == 1


def test_nothing_is_published_of_an_empty_store(tmp_path: Path) -> None:
    """Without entries there is no edition."""
    with pytest.raises(NotInLedger, match="witness post"):
        edition(open_store(tmp_path / "empty.sqlite"))


def test_notes_have_a_row_for_each_bearing(shell: sqlite3.Connection) -> None:
    """`SELECT * FROM notes` shows source, both grades and each bearing; a note without bearing is there too."""
    rows = shell.execute("SELECT note, source, reliability, credibility, rival, bearing FROM notes").fetchall()
    assert rows == [
        ("evidence/hiss", "sources/letter", "F", 5, None, None),
        ("evidence/sleeve-groove", "sources/bench-left", "B", 2, "hypotheses/drum", 0.9),
        ("evidence/sleeve-groove", "sources/bench-left", "B", 2, "hypotheses/face-cam", "likely"),
    ]


def test_measurements_and_sources(shell: sqlite3.Connection) -> None:
    """Measurements show quantity and source; sources count what rests on them."""
    rows = shell.execute("SELECT measurement, quantity, source, reliability, credibility FROM measurements").fetchall()
    assert rows == [("measurements/hub-width", "62 ± 3 mm", "sources/bench-left", "B", 2)]
    rows = shell.execute("SELECT source, reliability, notes, measurements FROM sources").fetchall()
    assert rows == [("sources/bench-left", "B", 1, 1), ("sources/letter", "F", 1, 0)]


def test_rivals_stand_in_order(store: Store, shell: sqlite3.Connection) -> None:
    """Unweighed by prior, weighed by place; none-of-these is one of them."""
    ask = "SELECT rival, stated_prior, place, confidence FROM rivals"
    assert shell.execute(ask).fetchall() == [
        ("hypotheses/drum", 0.6, None, None),
        ("hypotheses/face-cam", 0.3, None, None),
        ("none-of-these", 0.1, None, None),
    ]
    replace_confidences(store, [CAM, DRUM, NONE])
    assert shell.execute(ask).fetchall() == [
        ("hypotheses/drum", 0.6, 1, 0.7),
        ("none-of-these", 0.1, 2, 0.2),
        ("hypotheses/face-cam", 0.3, 3, 0.1),
    ]


def test_what_refers_to_what(store: Store, shell: sqlite3.Connection, entries: Path) -> None:
    """References are shown by name and field; withdrawn entries neither refer nor count as unreferred."""
    ask = "SELECT entry, field FROM what_refers_to_what WHERE refers_to = 'sources/letter'"
    assert shell.execute(ask).fetchall() == [("evidence/hiss", "source")]
    alone = {ref for (ref,) in shell.execute("SELECT entry FROM nobody_refers_to")}
    assert alone == {"evidence/hiss", "evidence/sleeve-groove", "measurements/hub-width", "replies/reader-one"}
    text = SMALL["evidence/hiss"].replace("title:", "withdrawn: A kettle.\ntitle:")
    put(entries, {"evidence/hiss": text})
    post(store, entries, AT)
    assert shell.execute(ask).fetchall() == []
    alone = {ref for (ref,) in shell.execute("SELECT entry FROM nobody_refers_to")}
    assert alone == {"evidence/sleeve-groove", "measurements/hub-width", "replies/reader-one", "sources/letter"}
    assert shell.execute("SELECT entry, reason, at FROM withdrawn").fetchall() == [("evidence/hiss", "A kettle.", AT)]
    rows = shell.execute("SELECT seq, action, erased FROM history WHERE entry = 'evidence/hiss'").fetchall()
    assert rows == [(1, "new", 0), (11, "withdrawn", 0)]
