"""A measurement's picks held against what their method declares and against the picture: every fault before posting."""

from __future__ import annotations

from collections.abc import Generator, Iterator, Mapping, Set
from dataclasses import dataclass
from pathlib import Path

from ledger.casebook.measuring import file_of, picture_of
from ledger.entries.models import Measurement, Source
from ledger.entries.parts import Picked
from ledger.entries.reading import Document
from ledger.errors import Fault, PhotoRefused, did_you_mean
from ledger.photo.declaring import Method
from ledger.photo.methods import wrongs
from ledger.quantities.units import same_dimension

Size = tuple[float, float]


def check_picked(
    register: Mapping[str, Method], documents: Mapping[str, Document], changed: Set[str], root: Path
) -> list[Fault]:
    """Return the faults of changed measurements with picks: in method, roles, knowns, units, places and picture.

    Everything is judged that can be judged without measuring. Documents with faults of their own are judged as far as
    they could be read.

    root  the investigation's folder, in which pictures are looked for; one that is not there is no fault if the entry
          states its size
    """
    faults: list[Fault] = []
    for ref in sorted(changed & documents.keys()):
        document = documents[ref]
        entry = document.entry
        if not isinstance(entry, Measurement) or entry.withdrawn is not None or entry.picked is None:
            continue
        if document.lost("picked.by") or not entry.picked.by:
            continue
        method = register.get(entry.picked.by)
        if method is None:
            remedy = did_you_mean(entry.picked.by, register)
            faults.append(document.fault("picked.by", f"`{entry.picked.by}`", "a way of measuring", remedy))
        else:
            source = documents.get(entry.source) if entry.source else None
            known = source.entry if source is not None and isinstance(source.entry, Source) else None
            faults.extend(_Use(document, entry, entry.picked, method, known, root).faults())
    return faults


@dataclass(frozen=True)
class _Use:
    document: Document
    entry: Measurement
    picked: Picked
    method: Method
    source: Source | None
    root: Path

    def faults(self) -> Iterator[Fault]:
        size = yield from self._size()
        lost_points = bool(self.document.lost_keys("picked.points")) or "picked.points" in self.document.spoiled
        lost_known = bool(self.document.lost_keys("picked.known")) or "picked.known" in self.document.spoiled
        lens = None if self.document.lost("picked.lens") else self.picked.lens
        for wrong in wrongs(self.method, self.picked.points or {}, self.picked.known, lens, size, self.picked.doubt):
            # What could not be read is not missing; its own fault is told already.
            if lost_points and (wrong.field == "points" or wrong.expected.startswith("points of")):
                continue
            if lost_known and wrong.field == "known":
                continue
            yield self.document.fault(f"picked.{wrong.field}", wrong.given, wrong.expected, wrong.remedy)
        yield from self._quantity()

    def _size(self) -> Generator[Fault, None, Size | None]:
        """Yield what is wrong with the file and the stated size; return the size, where anything tells it."""
        name, stated = file_of(self.picked, self.source), self.picked.size
        listens = self.method.medium == "recording"
        if name is None:
            unsure = self.source is None or self.document.lost("picked.file", "source")
            if not unsure and (listens or stated is None):
                expected = f"a {self.method.medium} to measure from"
                yield self._told("picked", "no `file`", expected, f"Name it here, or in {self.entry.source}.")
            return stated
        if listens:
            return None
        field = "picked.file" if self.picked.file else "source"
        try:
            picture = picture_of(self.root, name)
        except PhotoRefused as error:
            given, expected, remedy = error.parts()
            yield self._told(field, given, expected, remedy)
            return stated
        if picture is None:
            if stated is None and not self.document.lost("picked.size"):
                remedy = "Put it into the investigation's folder, or state `size: [width, height]` in pixels."
                yield self._told(field, f"`{name}`, which is not here", "a picture of the investigation", remedy)
            return stated
        if stated is not None and stated != picture.size:
            given = f"{stated[0]:g} × {stated[1]:g}"
            expected = f"{picture.width} × {picture.height}, which {name} has"
            yield self._told("picked.size", given, expected, "Write that, or leave it out; or name the right picture.")
        return picture.size

    def _quantity(self) -> Iterator[Fault]:
        quantity = self.entry.quantity
        if self.document.lost("quantity"):
            return
        if self.method.whole and (quantity.unit or quantity.shape not in ("whole", "exact")):
            remedy = "`witness measure --write` writes it."
            yield self._told("quantity", f"`{quantity.text}`", "whole numbers with their chances", remedy)
        elif not same_dimension(quantity.unit, self.method.unit):
            wanted = f"a quantity in {self.method.unit}" if self.method.unit else "a number without a unit"
            remedy = f"{self.method.name} gives one. `witness measure --write` writes it."
            yield self._told("quantity", f"`{quantity.text}`", wanted, remedy)

    def _told(self, field: str, given: str, expected: str, remedy: str) -> Fault:
        return self.document.fault(field, given, expected, remedy)
