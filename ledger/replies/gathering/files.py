"""Files of replies: one JSON document, JSON lines (an export's too), a mail, a mailbox, or a table."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

from ledger.errors import Fault
from ledger.replies.gathering.forum import Columns, table
from ledger.replies.gathering.gathered import MOST_BYTES, Gathered, nothing
from ledger.replies.gathering.mails import mail, mailbox
from ledger.replies.received import Incoming
from ledger.replies.strictly import loads
from ledger.replies.taking import checked
from ledger.replies.telling import faults_of
from ledger.replies.wording import visible

TABLES = (".csv", ".tsv")


def gathered(paths: Iterable[Path], columns: Columns | None = None) -> Gathered:
    """Return the replies of files in their order, and everything that is wrong with any of them.

    columns  what the columns of tables mean
    """
    replies: list[Incoming] = []
    faults: list[Fault] = []
    for path in paths:
        found = _file(path, columns)
        replies += found.replies
        faults += found.faults
    return Gathered(tuple(replies), tuple(faults))


def _file(path: Path, columns: Columns | None) -> Gathered:
    shown = visible(str(path))
    try:
        if not path.is_file():
            given = "a folder" if path.is_dir() else "no file"
            return nothing(shown, "file", given, "a file of replies", "Name the file itself.")
        size = path.stat().st_size
        if size > MOST_BYTES:
            expected = f"at most {MOST_BYTES // 1_000_000} MB"
            return nothing(shown, "file", f"{size // 1_000_000} MB", expected, "Divide the file.")
        if path.suffix.lower() in TABLES:
            return table(path, shown, columns)
        with path.open("rb") as file:
            start = file.read(4096)
        if start.startswith(b"From "):
            return mailbox(path, shown)
        text = start.removeprefix(b"\xef\xbb\xbf").lstrip()
        if text[:1] in (b"{", b"["):
            return _json(path.read_bytes(), shown)
        return mail(path.read_bytes(), shown)
    except OSError as error:
        given = (error.strerror or "an error").lower()
        return nothing(shown, "file", given, "a file that can be read", "Allow it to be read.")


def _json(content: bytes, shown: str) -> Gathered:
    """Read one document, a list of them, or one a line."""
    content = content.removeprefix(b"\xef\xbb\xbf")
    try:
        data = loads(content)
    except ValueError as error:
        lines = [line for line in content.split(b"\n") if line.strip()]
        if len(lines) < 2 or not all(line.lstrip().startswith(b"{") for line in lines):
            return nothing(shown, "", f"no JSON to take: {error}", "a reply in JSON", "Mend it, or ask for it again.")
        return _together(_lines(content), shown)
    if isinstance(data, list):
        return _together(((f"reply {number}", 0, one, "") for number, one in enumerate(data, 1)), shown)
    return _together([("", 0, data, "")], shown)


def _lines(content: bytes) -> Iterator[tuple[str, int, Any, str]]:
    for number, line in enumerate(content.split(b"\n"), 1):
        if line.strip():
            try:
                yield "", number, loads(line), ""
            except ValueError as error:
                yield "", number, None, str(error)


def _together(said: Iterable[tuple[str, int, Any, str]], shown: str) -> Gathered:
    """Return the replies in data, given with place, line, the data, and what was wrong with its JSON."""
    replies, faults = [], []
    for place, line, data, broken in said:
        file = f"{shown}, {place}" if place else shown
        if broken:
            faults.append(Fault(file, line, "", f"no JSON to take: {broken}", "a reply in JSON", "Mend the line."))
            continue
        # A line of an export, and what a page sends, have the reply inside.
        inside = data["reply"] if isinstance(data, dict) and "reply" in data else data
        document, wrong = checked(inside)
        faults += faults_of(wrong, file, line)
        if document is not None:
            replies.append(Incoming(document, document.sent, file))
    return Gathered(tuple(replies), tuple(faults))
