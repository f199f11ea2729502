"""Keep a small ledger of the schema that the program has now, for the tests of all later ones.

    python -m tests.old_ledgers.keep

It is written as SQL and not as a database: what is in it can be read and reviewed, and any SQLite builds the same
tables from it, to the letter. Those of versions 2 and 3 were written by the programs of their time; version 1 was never
released alone, so its ledger was written by the program of version 2 with one step only.
"""

from __future__ import annotations

import sqlite3
import tempfile
from contextlib import closing
from pathlib import Path
from unittest.mock import patch

from ledger.store import derived, recording
from ledger.store.engine import open_store
from ledger.store.erasing import erase
from ledger.store.migrating import steps
from ledger.store.posting import post
from tests.ledger_files import SMALL, put

HERE = Path(__file__).parent
WITHDRAWN = SMALL["evidence/hiss"].replace("credibility: 5\n", "credibility: 5\nwithdrawn: It was the kettle.\n")
RENAMED = SMALL["measurements/hub-width"].replace("method:", "formerly: hub-width\nmethod:")
REVISED = SMALL["sources/letter"] + "It came by post — on 3 sheets.\n"


def dump(version: int) -> Path:
    """Return where the ledger of a version is kept."""
    return HERE / f"version_{version}.sql"


def build(version: int, path: Path) -> None:
    """Make the ledger file of a version."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.executescript(dump(version).read_text(encoding="utf-8"))


def live(top: Path) -> Path:
    """Give a ledger one revision of each kind, two editions, and something in every derived table; return its file."""
    salts = iter(f"{number:032x}" for number in range(1, 1000))
    store, entries = open_store(top / "witness.sqlite"), put(top / "entries", SMALL)
    with patch.object(recording, "new_salt", lambda: next(salts)):
        post(store, entries, "2031-05-17T09:00:00Z")
        derived.edition(store)
        post(store, put(entries, {"sources/letter": REVISED}), "2031-05-18T09:00:00Z")
        post(store, put(entries, {"evidence/hiss": WITHDRAWN}), "2031-05-19T09:00:00Z")
        (entries / "measurements/hub-width.md").unlink()
        post(store, put(entries, {"measurements/hub-wide": RENAMED}), "2031-05-20T09:00:00Z")
        erase(store, "replies/reader-one", "2031-05-21T09:00:00Z", "asked by the writer")
    derived.edition(store)
    rival = derived.Confidence("questions/forks", "hypotheses/drum", 0.6, 0.7, 0.5, 0.8, 1)
    derived.replace_confidences(store, [rival])
    derived.put_results(store, {"calculations/none": derived.Cached("k", "{}", b"\x00\x01")})
    derived.replace_moments(store, {10: ("k", "{}")})
    return store.path


def keep() -> Path:
    """Write the ledger of the present version, unless it is kept already."""
    version = len(steps())
    with tempfile.TemporaryDirectory() as top, closing(sqlite3.connect(live(Path(top)))) as connection:
        marks = [
            f"PRAGMA {name} = {connection.execute(f'PRAGMA {name}').fetchone()[0]};"
            for name in ("application_id", "user_version")
        ]
        lines = [f"-- A ledger of schema version {version}.", *connection.iterdump(), *marks]
    with open(dump(version), "x", encoding="utf-8") as file:
        file.write("\n".join(lines) + "\n")
    return dump(version)


if __name__ == "__main__":
    print(keep())
