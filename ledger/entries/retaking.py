"""A decision taken again, written into its own file: the day, the reason, the numbers now; all else is left alone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from typing import Any

from ledger.entries.document import Document
from ledger.entries.reading import read_text
from ledger.entries.writing import write
from ledger.errors import FaultsFound


def retaken_text(document: Document, taken: str, reason: str, said: Sequence[str]) -> str:
    """Return the file of a decision, read without faults, as it was taken again.

    said  what each of its quotes says now, in their order

    Lines of other fields keep every byte. Where that cannot be, for fields that share lines, the front matter is
    written anew.
    """
    quotes = [{**one, "said": now} for one, now in zip(document.front.get("quotes", ()), said, strict=True)]
    front = dict(_with(document.front, taken, " ".join(reason.split()), quotes))
    edited = _edited(document, {key: front[key] for key in ("taken", "retaken", "quotes") if key in front})
    with suppress(FaultsFound):
        again = read_text(edited, "decisions", document.name)
        if again.front == front and again.body == document.body:
            return edited
    return write(front, document.body)


def _with(front: Mapping[str, Any], taken: str, reason: str, quotes: list[dict[str, Any]]) -> Mapping[str, Any]:
    """Return front matter with the day, the reason right behind it, and the quotes."""
    found: dict[str, Any] = {}
    for key, value in front.items():
        if key == "taken":
            found |= {"taken": taken, "retaken": reason}
        elif key != "retaken":
            found[key] = quotes if key == "quotes" else value
    return found


def _edited(document: Document, fields: Mapping[str, Any]) -> str:
    """Return the text with the lines of some fields in place of those it has; a new one stands behind `taken`."""
    end = "\r\n" if document.text.startswith("---\r\n") else "\n"
    lines = document.text.split(end)
    starts = sorted(line - 1 for path, line in document.lines.items() if "." not in path)
    fence = next((number for number in range(1, len(lines)) if lines[number] == "---"), len(lines))
    blocks = {
        key: (document.lines[key] - 1, next((one for one in starts if one > document.lines[key] - 1), fence))
        for key in fields
        if key in document.lines
    }
    written = {key: write({key: value}, "").split("\n")[1:-2] for key, value in fields.items()}
    for key, (first, last) in sorted(blocks.items(), key=lambda one: -one[1][0]):
        new = [*written[key], *(written["retaken"] if key == "taken" and "retaken" not in blocks else ())]
        # Blank lines and remarks that close the block stand before the next field, and stay.
        kept = last
        while kept > first + 1 and (not lines[kept - 1].strip() or lines[kept - 1].lstrip().startswith("#")):
            kept -= 1
        lines[first:kept] = new
    return end.join(lines)
