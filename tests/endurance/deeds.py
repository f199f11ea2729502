"""What is done in a round, on a small invented ledger, and what may be found afterwards.

Times and salts are the same in every round, so that what a deed leads to is known to the byte beforehand.
"""

from __future__ import annotations

import io
import shutil
import sqlite3
import sys
from collections.abc import Callable, Iterable
from contextlib import closing, redirect_stdout
from hashlib import sha256
from importlib import resources
from pathlib import Path
from typing import Any
from unittest.mock import patch

from ledger.cli import erasing, main, posting, replying
from ledger.replies.document import ReplyDocument
from ledger.replies.received import Incoming, received
from ledger.store import recording as store_recording
from ledger.store.engine import open_store
from ledger.store.migrating import steps
from ledger.store.verifying import verify
from tests.intakes import reply
from tests.ledger_files import SMALL, put
from tests.old_ledgers.keep import build
from tests.states import head

STORE, KEPT = "witness.sqlite", "kept.sqlite"
WITHDRAWN = "evidence/hiss"
CHANGES = {
    "sources/letter": SMALL["sources/letter"] + "It came by post.\n",
    "measurements/hub-width": SMALL["measurements/hub-width"].replace("62 ± 3", "61 ± 2"),
    "evidence/tooth": SMALL[WITHDRAWN].replace("It hisses when it shifts", "A tooth is bright"),
}
State = tuple[Any, ...]


def witness(*words: object) -> None:
    """Run the command line as a terminal would, at a fixed time and with salts that follow each other."""
    salts = iter(f"{number:032x}" for number in range(10**6))
    with (
        patch.object(sys, "argv", ["witness", *map(str, words)]),
        patch.object(posting, "now", lambda: "2031-05-18T09:00:00Z"),
        patch.object(erasing, "now", lambda: "2031-05-18T09:00:00Z"),
        patch.object(replying, "now", lambda: "2031-05-18T09:00:00Z"),
        patch.object(store_recording, "new_salt", lambda: next(salts)),
        redirect_stdout(io.StringIO()),
    ):
        try:
            main()
        except SystemExit as stop:
            if stop.code:
                raise AssertionError(f"witness {words[0]} ended with {stop.code}") from stop


def posted(folder: Path) -> None:
    """Lay out a posted ledger."""
    put(folder / "entries", SMALL)
    witness("post", "--in", folder)


def tree(folder: Path) -> tuple[tuple[str, str], ...]:
    """Return every file below a folder that is not hidden, by path, with a digest of its bytes."""
    if not folder.exists():
        return ()
    found = sorted(one for one in folder.rglob("*") if one.is_file())
    paths = [(one.relative_to(folder), one) for one in found]
    return tuple(
        (short.as_posix(), sha256(one.read_bytes()).hexdigest())
        for short, one in paths
        if not any(part.startswith(".") for part in short.parts)
    )


def sound(path: Path, write: bool = True) -> str:
    """Return the head of a store that opens and verifies; AssertionError with what does not."""
    store = open_store(path, create=False, write=write)
    problems = verify(store).problems
    assert not problems, f"{path.name} does not verify: {problems[0]}"
    return head(store)


class Deed:
    """Something done to a folder. `state` is all that counts of the folder, and raises for what must never be."""

    name = ""

    def lay_out(self, folder: Path) -> None:
        """Make the folder as it is before."""
        posted(folder)

    def do(self, folder: Path) -> None:
        """Do it."""
        raise NotImplementedError

    def state(self, folder: Path) -> State:
        """Return how the folder stands."""
        return sound(folder / STORE), tree(folder / "entries")

    def begun(self, state: State, before: State, after: State) -> bool:
        """Return whether the deed may stand so, between before and after, until it is done again."""
        return False


class Post(Deed):
    """Three changed or new files: their revisions are all there, or none is; files are not touched."""

    name = "post"

    def lay_out(self, folder: Path) -> None:
        """Make the folder as it is before."""
        posted(folder)
        put(folder / "entries", CHANGES)

    def do(self, folder: Path) -> None:
        """Post."""
        witness("post", "--in", folder)


class Withdraw(Deed):
    """The file says so first, whole, then the record; a file that says so and is not posted waits for any posting."""

    name = "withdraw"

    def do(self, folder: Path) -> None:
        """Withdraw a note."""
        witness("withdraw", WITHDRAWN, "--reason", "It was the kettle.", "--in", folder)

    def begun(self, state: State, before: State, after: State) -> bool:
        """The file as it is to be, the record as it was."""
        return state == (before[0], after[1])


class Erase(Deed):
    """The record loses the words first, then their file goes; erasing again goes on."""

    name = "erase"

    def do(self, folder: Path) -> None:
        """Erase a note."""
        witness("erase", WITHDRAWN, "--reason", "asked by the writer", "--yes", "--in", folder)

    def begun(self, state: State, before: State, after: State) -> bool:
        """The words gone, the file still there."""
        return state == (after[0], before[1])


class Accept(Deed):
    """The decision first, then whole files under names that the decision has kept; accepting again goes on."""

    name = "accept"

    def lay_out(self, folder: Path) -> None:
        """Make the folder as it is before."""
        posted(folder)
        with received(folder) as replies:
            document = ReplyDocument.model_validate(reply(stance="new-evidence"))
            replies.take([Incoming(document, "2031-06-01", "reply.json")])

    def do(self, folder: Path) -> None:
        """Accept the reply."""
        witness("replies", "accept", reply()["id"], "--in", folder)

    def state(self, folder: Path) -> State:
        """Return how the folder stands."""
        with closing(sqlite3.connect(folder / "replies.sqlite")) as connection:
            assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        with received(folder) as replies:
            one = replies.find(reply()["id"])
        return sound(folder / STORE), one.state, one.entries, tree(folder / "entries")

    def begun(self, state: State, before: State, after: State) -> bool:
        """Accepted under the names it is to have, with some of its files."""
        return state[:3] == after[:3] and set(before[3]) <= set(state[3]) <= set(after[3])


class Migrate(Deed):
    """A ledger of the first version: it is of the first or of the newest one, and a copy by its name is whole."""

    name = "migrate"

    def lay_out(self, folder: Path) -> None:
        """Make the folder as it is before."""
        (folder / "entries").mkdir(parents=True)
        build(1, folder / STORE)

    def do(self, folder: Path) -> None:
        """Open it by a command that only reads."""
        witness("history", "sources/letter", "--in", folder)

    def state(self, folder: Path) -> State:
        """Return how the folder stands, without bringing it up."""
        copy = folder / f"{STORE}.before-v{len(steps())}"
        return self._read(folder / STORE), self._read(copy)[0] if copy.exists() else 0

    def begun(self, state: State, before: State, after: State) -> bool:
        """The file as it was, and the copy made."""
        return state == (before[0], after[1])

    def _read(self, path: Path) -> tuple[int, str, str]:
        with closing(sqlite3.connect(path)) as connection:
            assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
            version = connection.execute("PRAGMA user_version").fetchone()[0]
            schema = str(connection.execute("SELECT type, name, sql FROM sqlite_master ORDER BY 1, 2").fetchall())
            last = connection.execute("SELECT hash FROM revision ORDER BY seq DESC LIMIT 1").fetchone()[0]
        return version, sha256(schema.encode()).hexdigest(), last


class Backup(Deed):
    """There is a backup that verifies under its name, or none; the ledger is not touched."""

    name = "backup"

    def do(self, folder: Path) -> None:
        """Back it up."""
        witness("backup", folder / KEPT, "--in", folder)

    def state(self, folder: Path) -> State:
        """Return how the folder stands."""
        kept = folder / KEPT
        return *super().state(folder), sound(kept, write=False) if kept.exists() else ""


class Restore(Deed):
    """The ledger is the old one or the backup; once it is the backup, the old one is kept aside, whole."""

    name = "restore"

    def lay_out(self, folder: Path) -> None:
        """Make the folder as it is before."""
        posted(folder)
        witness("backup", folder / KEPT, "--in", folder)
        put(folder / "entries", CHANGES)
        witness("post", "--in", folder)

    def do(self, folder: Path) -> None:
        """Take the backup back."""
        witness("restore", folder / KEPT, "--in", folder)

    def state(self, folder: Path) -> State:
        """Return how the folder stands."""
        aside = [one for one in folder.glob(f"{STORE}.before-restore-*") if one.name[-1].isdigit()]
        return *super().state(folder), tuple(sorted({sound(one, write=False) for one in aside}))

    def begun(self, state: State, before: State, after: State) -> bool:
        """The ledger as it was, and a copy of it kept aside."""
        return state == (*before[:2], after[2])


class Export(Deed):
    """Every entry file and the history is the old one or the new one, whole."""

    name = "export"

    def lay_out(self, folder: Path) -> None:
        """Make the folder as it is before."""
        posted(folder)
        put(folder / "entries", CHANGES)
        witness("post", "--in", folder)
        for ref in CHANGES:
            (folder / "entries" / f"{ref}.md").unlink()

    def do(self, folder: Path) -> None:
        """Export."""
        witness("export", "--in", folder)

    def begun(self, state: State, before: State, after: State) -> bool:
        """Some of the files written."""
        return state[0] == before[0] and set(before[1]) <= set(state[1]) <= set(after[1])


class Publish(Deed):
    """The site is the old or the new one, to the byte and to the file; the new one only if posted."""

    name = "publish"

    def lay_out(self, folder: Path) -> None:
        """Make the folder as it is before."""
        put(folder / "entries", SMALL)
        shutil.copytree(str(resources.files("ledger.cli") / "starter" / "site"), folder / "site")
        configuration = folder / "site" / "mkdocs.yml"
        configuration.write_text(configuration.read_text("utf-8").replace("$title", "Forks"), "utf-8")
        witness("publish", "--in", folder)
        put(folder / "entries", CHANGES)

    def do(self, folder: Path) -> None:
        """Publish."""
        witness("publish", "--in", folder)

    def state(self, folder: Path) -> State:
        """Return how the folder stands."""
        return *super().state(folder), tree(folder / "build" / "site")

    def begun(self, state: State, before: State, after: State) -> bool:
        """Posted, and the site as it was."""
        return state == (*after[:2], before[2])


DEEDS: tuple[Callable[[], Deed], ...] = (Post, Withdraw, Erase, Accept, Migrate, Backup, Restore, Export, Publish)


def named(names: Iterable[str]) -> list[Deed]:
    """Return the deeds of these names, or all; KeyError for another name."""
    known = {deed.name: deed for deed in (make() for make in DEEDS)}
    return [known[name] for name in (list(names) or known)]
