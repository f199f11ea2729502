"""Answers copied out of a forum as a table, a reply a row.

Which column means what is said beforehand: `text=Answer,name=User,sent=Posted`. What stands in no column is the same
for all rows. A rival's name takes a column of confidences: `hypotheses/drum=Drum`, as shares or with a percent sign.

Forum answers have no id of ours: it is made from the row's own (`id=Post`), or from what was said, so that the same row
read again is the same reply. Whoever wrote in a forum has not consented to be published elsewhere, unless it is said.
"""

from __future__ import annotations

import csv
import re
import uuid
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

from ledger.errors import Fault, FaultsFound, of_command
from ledger.replies.document import RIVAL, UUID, is_day
from ledger.replies.gathering.gathered import Gathered, nothing
from ledger.replies.received import Incoming
from ledger.replies.taking import checked
from ledger.replies.telling import faults_of
from ledger.replies.wording import visible

PLAIN = ("id", "about", "stance", "text", "name", "contact", "sent")
OURS = uuid.UUID("6b0a7c7e-3d5c-4f0e-9a5e-5d1f0c2b8e11")
MOST_ROWS = 1_000_000
LONGEST_CELL = 1_000_000
_SHARE = re.compile(r"\s*([0-9]{1,3}(?:[.,][0-9]+)?)\s*(%?)\s*\Z")
# What a person reads as one day, and every clock writes.
_STAMP = re.compile(r"\s*([0-9]{4}-[0-9]{2}-[0-9]{2})(?:[T ].*)?\Z", re.DOTALL)


@dataclass(frozen=True)
class Columns:
    """What the columns of a table mean.

    of         by field, or by rival for its confidence: the heading of its column
    same       by field, what holds for all rows that do not say it themselves
    consent    whether the writers consented to be published, and to be named where there is a name
    days       how days are written, as strptime takes it; without it as 2031-05-17
    delimiter  what stands between cells; without it, it is found out
    """

    of: Mapping[str, str]
    same: Mapping[str, str] = field(default_factory=dict)
    consent: bool = False
    days: str | None = None
    delimiter: str | None = None


def columns_of(said: str) -> dict[str, str]:
    """Return the headings by field of `text=Answer,name=User`. FaultsFound with all that is wrong."""
    found: dict[str, str] = {}
    faults = []
    for one in said.split(","):
        name, equals, heading = (part.strip() for part in one.partition("="))
        if not (equals and heading):
            faults.append(_fault(f"`{one.strip()}`", "`field=Heading`", "Write `text=Answer`."))
        elif name not in PLAIN and not re.match(RIVAL, name):
            known = f"one of {', '.join(PLAIN)}, a rival as `hypotheses/name`, or `none-of-these`"
            faults.append(_fault(f"`{name}`", known, "Name what the column means."))
        elif name in found:
            faults.append(_fault(f"`{name}` twice", "one column for each field", "Keep one of the two."))
        else:
            found[name] = heading
    if "text" not in found and not faults:
        faults.append(_fault("no column of the text", "`text=Heading`", "Say which column holds what was written."))
    if faults:
        raise FaultsFound(faults)
    return found


def table(path: Path, shown: str, columns: Columns | None) -> Gathered:
    """Read a table. A fault in one row leaves the others; one in the headings, or in the file, leaves nothing."""
    if columns is None:
        remedy = "Give `--columns text=Answer,name=User,sent=Posted`."
        return nothing(shown, "columns", "nothing", "what its columns mean", remedy)
    try:
        csv.field_size_limit(LONGEST_CELL)
        with path.open(encoding="utf-8-sig", newline="") as file:
            start = file.read(65_536)
            file.seek(0)
            reader = csv.reader(file, delimiter=columns.delimiter or _delimiter(start, path))
            try:
                return _rows(reader, shown, columns)
            except csv.Error as error:
                given = f"no table to read ({error})"
                return nothing(shown, "file", given, "a table of cells", "Mend the cell there.", reader.line_num)
    except UnicodeDecodeError as error:
        given = f"the byte {error.object[error.start]:#04x}"
        return nothing(shown, "file", given, "text in UTF-8", "Save the table as CSV in UTF-8.")


def _rows(reader: Any, shown: str, columns: Columns) -> Gathered:
    headings = next((row for row in reader if any(cell.strip() for cell in row)), None)
    if headings is None:
        return nothing(shown, "file", "nothing", "a line of headings, and answers below", "Choose the right file.")
    headings = [one.strip() for one in headings]
    missing = sorted({one for one in columns.of.values() if headings.count(one) != 1})
    if missing:
        return Gathered(
            faults=tuple(
                Fault(
                    shown,
                    reader.line_num,
                    "columns",
                    f"{headings.count(one) or 'no'} column{'s' * (headings.count(one) > 1)} `{visible(one)}`",
                    f"one of {visible(', '.join(headings))[:200]}",
                    "Mend `--columns`, or the headings.",
                )
                for one in missing
            )
        )
    places = {name: headings.index(heading) for name, heading in columns.of.items()}
    replies: list[Incoming] = []
    wrong_ones: list[Fault] = []
    seen: dict[str, int] = {}
    for line, row in _cells(reader):
        if not any(cell.strip() for cell in row):
            continue
        if any(cell.strip() for cell in row[len(headings) :]):
            remedy = "Put a text that holds such a sign in quotes, or give `--delimiter`."
            expected = f"{len(headings)}, as there are headings"
            wrong_ones.append(Fault(shown, line, "columns", f"{len(row)} cells", expected, remedy))
            continue
        cells = {name: row[place].strip() if place < len(row) else "" for name, place in places.items()}
        data, faults = _document(cells, columns, shown, line)
        document, wrong = checked(data)
        told = {fault.field for fault in faults}
        faults += [one for one in faults_of(wrong, shown, line) if one.field not in told and one.field != "id"]
        if document is None or faults:
            wrong_ones += faults
            continue
        if document.id in seen and "id" in columns.of:
            given = f"`{visible(cells['id'])}`, which line {seen[document.id]} has too"
            wrong_ones.append(Fault(shown, line, "id", given, "an id of its own", "Give each row its own id."))
            continue
        seen[document.id] = line
        replies.append(Incoming(document, document.sent, f"{shown}, line {line}"))
    return Gathered(tuple(replies), tuple(wrong_ones))


def _cells(reader: Any) -> Iterator[tuple[int, list[str]]]:
    """Yield each row below the headings with the line it begins at."""
    for _ in range(MOST_ROWS):
        begins = reader.line_num + 1
        row = next(reader, None)
        if row is None:
            return
        yield begins, row


def _document(cells: Mapping[str, str], columns: Columns, shown: str, line: int) -> tuple[dict[str, Any], list[Fault]]:
    """Return what a row says as a reply's data, and what is wrong with its day and confidences."""
    faults: list[Fault] = []
    said = {**columns.same, **{name: cell for name, cell in cells.items() if cell}}
    confidences = {}
    for rival in cells:
        if rival in PLAIN or not cells[rival]:
            continue
        share = _share(cells[rival])
        if share is None:
            given = visible(cells[rival])[:60]
            faults.append(Fault(shown, line, rival, given, "a share, 0.3 or 30 %", "Mend the cell."))
        else:
            confidences[rival] = share
    sent = _day(said.get("sent", ""), columns.days)
    if sent is None:
        given = visible(said.get("sent", ""))[:60] or "nothing"
        expected = f"a day as `{columns.days}`" if columns.days else "a day such as 2031-05-17"
        faults.append(Fault(shown, line, "sent", given, expected, "Mend it, or say how days are written: `--days`."))
    name, text = said.get("name") or None, re.sub(r"\r\n?", "\n", said.get("text", ""))
    data: dict[str, Any] = {
        "version": 1,
        "id": _id(cells.get("id", ""), said.get("about", ""), "\x00".join((name or "", sent or "", text))),
        "about": said.get("about", ""),
        "stance": said.get("stance", ""),
        "text": text,
        "confidences": confidences,
        "name": name,
        "credit": "named" if name and columns.consent else "anonymous",
        "contact": said.get("contact") or None,
        "consent": columns.consent,
        "sent": sent or "",
    }
    return data, faults


def _id(own: str, about: str, words: str) -> str:
    if re.match(UUID, own):
        return own
    return str(uuid.uuid5(OURS, f"{about}\x00row {own}" if own else f"{about}\x00{words}"))


def _share(text: str) -> float | None:
    found = _SHARE.match(text)
    if found is None:
        return None
    share = float(found[1].replace(",", ".")) / (100 if found[2] else 1)
    return share if share <= 1 else None


def _day(text: str, days: str | None) -> str | None:
    if days is not None:
        try:
            return datetime.strptime(text.strip(), days).date().isoformat()
        except (ValueError, re.error):
            return None
    stamp = _STAMP.match(text)
    return stamp[1] if stamp and is_day(stamp[1]) else None


def _delimiter(start: str, path: Path) -> str:
    if path.suffix.lower() == ".tsv":
        return "\t"
    headings = start.partition("\n")[0]
    return max(",;\t", key=headings.count)


def _fault(given: str, expected: str, remedy: str) -> Fault:
    return of_command("--columns", given, expected, remedy)
