"""The lines of `history.jsonl`: one revision each, then one edition each; read strictly, faults by line."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, fields
from datetime import datetime
from typing import Any

from ledger.entries.models import FOLDERS, NAME
from ledger.entries.reading import HISTORY
from ledger.errors import Fault, FaultsFound
from ledger.store.chain import Link
from ledger.store.tables import ACTIONS

_TEXT = {field.name for field in fields(Link)} - {"seq", "entry"}
_SHA = re.compile(r"[0-9a-f]{64}\Z")
_FORMS = {
    "name": NAME,
    "at": re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}Z\Z"),
    "digest": _SHA,
    "previous": _SHA,
    "hash": _SHA,
    "salt": re.compile(r"[0-9a-f]{32,}\Z"),
}
REMEDY = f"Restore {HISTORY} from a copy; it is written by `witness export` and not by hand."


@dataclass(frozen=True)
class Published:
    """An edition as the history has it."""

    edition: int
    fingerprint: str
    seq: int


@dataclass(frozen=True)
class Line:
    """A line of a history and what it says."""

    number: int
    said: Link | Published


def history_lines(raws: Iterable[bytes], file: str, first: int = 1) -> Iterator[Line]:
    """Read the lines of a history. Raises FaultsFound at the first that is no revision and no edition."""
    for number, raw in enumerate(raws, first):
        try:
            said = json.loads(raw)
        except (ValueError, RecursionError):
            said = None
        if not isinstance(said, dict):
            raise history_fault(file, number, "line", "no JSON object", "one revision a line", REMEDY)
        try:
            yield Line(number, _read(said))
        except (TypeError, ValueError) as error:
            given = f"what is no revision ({error})"
            raise history_fault(file, number, "line", given, "one revision a line", REMEDY) from error


def _read(said: Mapping[str, Any]) -> Link | Published:
    """Return what a line says. Raises TypeError for missing or extra fields, ValueError for values out of bounds."""
    if "edition" in said:
        published = Published(**said)
        if not all(type(whole) is int for whole in (published.edition, published.seq)):
            raise ValueError("an edition has a number and the seq of a revision")
        if not _SHA.match(str(published.fingerprint)):
            raise ValueError("an edition has a fingerprint")
        return published
    link = Link(**said)
    wrong = [name for name in ("seq", "entry") if type(said.get(name)) is not int]
    wrong += sorted(name for name in _TEXT if said.get(name) is not None and type(said[name]) is not str)
    wrong += [name for name, known in (("kind", FOLDERS), ("action", ACTIONS)) if said[name] not in known]
    wrong += [name for name, form in _FORMS.items() if said.get(name) is not None and not form.match(str(said[name]))]
    wrong += [name for name in ("name", "at", "previous", "hash") if said[name] is None]
    if (link.salt is None) != (link.text is None) or (link.digest is None) != (link.action == "erased"):
        wrong.append("text")
    if link.reason is not None and (link.action != "erased" or not str(link.reason).strip()):
        wrong.append("reason")
    if wrong:
        raise ValueError(f"`{wrong[0]}` is out of bounds")
    datetime.fromisoformat(link.at)
    (link.text or "").encode()
    return link


def tail(content: bytes, file: str) -> tuple[Link | None, list[Line]]:
    """Return the last revision of a history and the editions after it, without reading the rest."""
    editions: list[Line] = []
    raws = content.splitlines()
    for number in range(len(raws), 0, -1):
        (line,) = history_lines([raws[number - 1]], file, number)
        if isinstance(line.said, Link):
            return line.said, editions[::-1]
        editions.append(line)
    return None, editions[::-1]


def history_fault(file: str, line: int, field: str, given: str, expected: str, remedy: str) -> FaultsFound:
    """Return the refusal of a history."""
    return FaultsFound([Fault(file, line, field, given, expected, remedy)])
