"""What stands on the page as entry files: the measurement or note, and its source where that is new."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ledger.bench.asking import Draft, NewSource, Picks
from ledger.bench.choosing import digest_of, standing, text_of
from ledger.bench.measuring import doubt_of, doubt_wrong, known_of, lens_of
from ledger.bench.placing import placed
from ledger.casebook.measuring import measured_anew
from ledger.casebook.picking import check_picked
from ledger.entries.filling import with_field
from ledger.entries.models import FOLDERS, Measurement, Source
from ledger.entries.reading import Document, examine
from ledger.entries.writing import write
from ledger.errors import Fault, FaultsFound, PhotoRefused
from ledger.photo.methods import REGISTER
from ledger.photo.telling import quantity_text

WHOLE = re.compile(r"-?(?:0|[1-9][0-9]{0,14})\Z")
DECIMAL = re.compile(r"-?[0-9]+\.[0-9]+\Z")
# Stands where the quantity will, while the picks are read that give it.
NOT_YET = "1"


@dataclass(frozen=True)
class Written:
    """An entry's file as it will read. `was`: the digest of the text it takes the place of, None for a new one."""

    ref: str
    text: str
    was: str | None


def compose(root: Path, draft: Draft) -> list[Written]:
    """Return the files of a draft. FaultsFound with everything that can be told to be wrong before posting."""
    faults: list[Fault] = []
    sources: dict[str, Document] = {}
    written: list[Written] = []
    if draft.fresh is not None:
        fresh = _fresh_source(draft.fresh, faults)
        written += [fresh[1]] if fresh else []
        sources = {fresh[0].ref: fresh[0]} if fresh else {}
        name = draft.fresh.name
    else:
        name = draft.source
        sources = {ref: one for ref, one in standing(root).items() if isinstance(one.entry, Source)}
    source = sources.get(f"sources/{name}")
    folder = FOLDERS[draft.kind]
    ref = f"{folder}/{draft.name}"
    before = _before(root, draft, ref, folder)
    front = _front(draft, name, before.front if before else {}, source)
    document, wrong = examine(write(front, draft.body), folder, draft.name)
    faults += wrong
    if draft.kind == "measurement" and document is not None:
        around = {one.ref: one for one in (document, source) if one is not None}
        picked = check_picked(REGISTER, around, {ref}, root)
        faults += [_reworded(fault, draft) for fault in picked if fault.field != "quantity"]
    if faults or document is None:
        raise FaultsFound(faults)
    if isinstance(document.entry, Measurement):
        known = source.entry if source is not None and isinstance(source.entry, Source) else None
        try:
            front["quantity"] = _plain(quantity_text(measured_anew(document.entry, known, root)))
        except PhotoRefused as error:
            raise FaultsFound(_unmeasured(document, draft, error)) from error
    return [*written, Written(ref, _text(before, front, draft), draft.was)]


def _unmeasured(document: Document, draft: Draft, error: PhotoRefused) -> list[Fault]:
    """Return what measuring refuses, at the fields of the page."""
    picks = draft.picked
    method = REGISTER.get(picks.by) if picks else None
    if picks is None or method is None:
        raise error
    return [
        Fault(document.file, 0, f"picked.{one['field']}" if one["field"] else "picked", *map(str, words))
        for one in placed(method, known_of(picks), error)
        for words in [(one["given"], one["expected"], one["remedy"])]
    ]


def _reworded(fault: Fault, draft: Draft) -> Fault:
    if fault.field != "picked.doubt" or draft.picked is None:
        return fault
    wrong = doubt_wrong(draft.picked.doubt)
    return Fault(fault.file, fault.line, fault.field, wrong.given, wrong.expected, wrong.remedy)


def _before(root: Path, draft: Draft, ref: str, folder: str) -> Document | None:
    """Return the entry that is revised, None for a new one. FaultsFound if it is not as it was opened."""
    if draft.was is None:
        return None
    text = text_of(root, ref)
    if text is None or digest_of(text) != draft.was:
        given = "an entry that was opened under another name" if text is None else "a file that was changed since"
        remedy = "Open it again: its marks come back, and what was changed is kept."
        raise FaultsFound([Fault(f"entries/{ref}.md", 0, "name", given, "the entry as it was opened", remedy)])
    document, faults = examine(text, folder, draft.name)
    if document is None or faults:
        raise FaultsFound(faults)
    return document


def _fresh_source(fresh: NewSource, faults: list[Fault]) -> tuple[Document, Written] | None:
    front = {"kind": "source", **{key: value for key, value in fresh.model_dump().items() if key != "name"}}
    text = write(front, "")
    document, wrong = examine(text, "sources", fresh.name)
    faults += [Fault(one.file, one.line, f"fresh.{one.field}", one.given, one.expected, one.remedy) for one in wrong]
    if document is None or wrong:
        return None
    return document, Written(document.ref, text, None)


def _front(draft: Draft, source: str, before: Mapping[str, Any], known: Document | None) -> dict[str, Any]:
    """Return the front matter; what the page does not show of an entry that is revised is kept."""
    front: dict[str, Any] = {"kind": draft.kind, "title": draft.title}
    if draft.kind == "measurement":
        front["quantity"] = before.get("quantity", NOT_YET)
    front["source"] = source
    front["credibility"] = int(draft.credibility) if WHOLE.match(draft.credibility) else draft.credibility
    if draft.kind == "measurement":
        front["method"] = draft.method
    # An entry that is revised keeps the order of its fields.
    front = {**{key: before[key] for key in before if key not in ("picked", "marks", "bearing")}, **front}
    if draft.kind == "measurement" and draft.picked is not None:
        front["picked"] = _picked(draft.picked, known, before.get("picked", {}))
    if draft.marks:
        front["marks"] = [
            {key: _rounded(value) if isinstance(value, list) else value for key, value in mark.items()}
            for mark in draft.marks
        ]
    if draft.kind == "evidence":
        bearing = {rival: _plain(given) for rival, given in draft.bearing.items() if given}
        if bearing:
            front["bearing"] = bearing
    return front


def _picked(picks: Picks, source: Document | None, before: Mapping[str, Any]) -> dict[str, Any]:
    method = REGISTER.get(picks.by)
    order = [role.name for role in method.roles] if method else list(picks.points)
    points = {role: _rounded(picks.points[role]) for role in order if picks.points.get(role)}
    picked: dict[str, Any] = {"by": picks.by}
    named = source.entry.file if source is not None and isinstance(source.entry, Source) else None
    if picks.file != named or "file" in before:
        picked["file"] = picks.file
    picked["points"] = points
    doubt = doubt_of(picks)
    if doubt is None or doubt != 1:
        picked["doubt"] = picks.doubt if doubt is None else _whole(doubt)
    known = {
        name: [_plain(one) for one in given] if isinstance(given, list) else _plain(given)
        for name, given in known_of(picks).items()
    }
    if known:
        picked["known"] = known
    lens = lens_of(picks)
    if lens is not None:
        picked["lens"] = {name: _plain(term) for name, term in lens.items()} if isinstance(lens, dict) else lens
    if "size" in before:
        picked["size"] = before["size"]
    return picked


def _text(before: Document | None, front: dict[str, Any], draft: Draft) -> str:
    """Return the file; of one that is revised, words and comments stay where the changed fields leave them."""
    if before is None:
        return write(front, draft.body)
    text = before.text
    if set(before.front) <= set(front):
        try:
            for key, value in front.items():
                if before.front.get(key) != value:
                    text = with_field(text, FOLDERS[draft.kind], draft.name, key, value)
        except FaultsFound:  # Fields that are right together may be wrong one after the other.
            return write(front, draft.body)
        if draft.body == before.body:
            return text
        return text[: len(text) - len(before.body)] + draft.body
    return write(front, draft.body)


def _plain(given: Any) -> Any:
    """Return text that is a number as a number, as a person would write it."""
    if not isinstance(given, str):
        return given
    given = given.strip()
    if WHOLE.match(given):
        return int(given)
    return float(given) if DECIMAL.match(given) else given


def _rounded(value: Any) -> Any:
    if isinstance(value, list):
        return [_rounded(one) for one in value]
    return _whole(value) if isinstance(value, float) else value


def _whole(number: float) -> float | int:
    number = round(number, 4)
    return int(number) if number == int(number) else number
