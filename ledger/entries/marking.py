"""Rules over marks: a place that goes with the medium of the source, corners and ends in their order.

These are warnings: a mark that is amiss shows the wrong place, and changes no number.
"""

from __future__ import annotations

from ledger.entries.document import Document
from ledger.entries.models import Evidence, Measurement, Source
from ledger.entries.parts import Mark
from ledger.entries.view import View

PIXELS, SECONDS, PAGES = ("box", "polygon", "line", "point"), ("span",), ("page", "clause")
# What a source of a medium cannot have; a document, a talk or a book may be there as a picture, a recording, a text.
STRANGE = {
    "photograph": SECONDS + PAGES,
    "recording": PIXELS + PAGES,
    "document": SECONDS,
    "patent": SECONDS,
    "rules": SECONDS,
    "book": SECONDS,
    "specimen": SECONDS + PAGES,
}
MEANT = {**dict.fromkeys(PIXELS, "on a picture"), "span": "on a recording", **dict.fromkeys(PAGES, "in a text")}


def check_marks(view: View) -> None:
    """Add a warning for each mark that its source cannot have, or that is stated the wrong way round."""
    marked: list[tuple[Document, Evidence | Measurement]] = [*view.standing(Evidence), *view.standing(Measurement)]
    for document, entry in marked:
        source = view.entry(entry.source, Source) if not document.lost("source") else None
        for number, mark in enumerate(entry.marks, 1):
            _check(view, document, f"marks.{number}", mark, source.medium if source is not None else "")


def _check(view: View, document: Document, path: str, mark: Mark, medium: str) -> None:
    for name in STRANGE.get(medium, ()):
        if getattr(mark, name) is not None:
            remedy = "Mark a place that it has, or name the source that is meant."
            view.warn(document, f"{path}.{name}", f"a place {MEANT[name]}", f"a place in a {medium}", remedy)
    if mark.box is not None and not (mark.box[0] < mark.box[2] and mark.box[1] < mark.box[3]):
        expected, remedy = "left, top, right, bottom", "Give the upper left corner, then the lower right one."
        view.warn(document, f"{path}.box", str(list(mark.box)), expected, remedy)
    if mark.span is not None and not 0 <= mark.span[0] < mark.span[1]:
        view.warn(document, f"{path}.span", str(list(mark.span)), "two times, the earlier first", "Turn them round.")
