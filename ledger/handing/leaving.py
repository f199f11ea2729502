"""What of a ledger may leave the house: no reply without its writer's consent, not even its name, and no picture.

A reply that may not be shown is left out. Where anything else names it, the name is replaced by one that stands for all
such replies. A file of a source whose rights do not allow it to be published is not named. Pictures, recordings and
films written into a text as `data:` addresses are taken out: rights are given for showing them on a page, if at all.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cache, cached_property
from itertools import count
from typing import Any

from ledger.casebook.consent import published
from ledger.casebook.items import Item
from ledger.casebook.originals import may_be_published
from ledger.casebook.values import Casebook
from ledger.entries.models import Measurement, Source

WITHHELD = "replies/withheld"
_MEDIA = re.compile(r"data:(?:image|audio|video)/[^\s\"'()<>\[\]]*", re.IGNORECASE)


@dataclass(frozen=True)
class Leaving:
    """What may leave: standing and withdrawn entries by ref, and the rule for every text among them.

    hidden    matches the names, present and former, of replies that may not be shown; None where there are none
    stand_in  what is written for such a name; no entry has it
    """

    entries: Mapping[str, Item]
    withdrawn: Mapping[str, Item]
    hidden: re.Pattern[str] | None
    stand_in: str

    def shows(self, ref: str) -> bool:
        """Return whether an entry of that name may be shown."""
        return ref in self.entries or ref in self.withdrawn

    def text(self, said: str) -> str:
        """Return a text without what may not leave."""
        said = _MEDIA.sub("data:,", said)
        return said if self.hidden is None else self.hidden.sub(self.stand_in, said)

    @cached_property
    def _text(self) -> Callable[[str], str]:
        """As `text`; the same keys and units come hundreds of times over."""
        return cache(self.text)

    def data(self, value: Any) -> Any:
        """Return plain data, its keys too, without what may not leave."""
        if isinstance(value, str):
            return self._text(value)
        if isinstance(value, dict):
            return {self.data(key): self.data(inner) for key, inner in value.items()}
        if isinstance(value, list | tuple):
            return [self.data(inner) for inner in value]
        return value


def leaving(casebook: Casebook) -> Leaving:
    """Return what of a casebook may leave."""
    items = [*casebook.entries.values(), *casebook.withdrawn.values()]
    names = {name for item in items if not published(item) for name in _names(item)}
    hidden = None
    if names:
        # A longer name first: one may begin as another does.
        told = "|".join(re.escape(name) for name in sorted(names, key=lambda name: (-len(name), name)))
        hidden = re.compile(rf"(?<![a-z0-9-])(?:{told})(?![a-z0-9-])")
    taken = {item.ref for item in items}
    may = {item.ref: may_be_published(item.entry) for item in items if isinstance(item.entry, Source)}
    free = (WITHHELD if number == 1 else f"{WITHHELD}-{number}" for number in count(1))
    return Leaving(
        _shown(casebook.entries.values(), may),
        _shown(casebook.withdrawn.values(), may),
        hidden,
        next(name for name in free if name not in taken),
    )


def _shown(items: Iterable[Item], may: Mapping[str, bool]) -> dict[str, Item]:
    return {item.ref: _without_path(item, may) for item in items if published(item)}


def _without_path(item: Item, may: Mapping[str, bool]) -> Item:
    """Return an entry without the name of a file that may not be published."""
    entry = item.entry
    if isinstance(entry, Source) and entry.file is not None and not may[item.ref]:
        return replace(item, entry=entry.model_copy(update={"file": None}))
    picked = entry.picked if isinstance(entry, Measurement) and not may.get(entry.source, False) else None
    if picked is not None and picked.file is not None:
        return replace(item, entry=entry.model_copy(update={"picked": picked.model_copy(update={"file": None})}))
    return item


def _names(item: Item) -> Iterable[str]:
    yield item.ref
    if item.entry.formerly is not None:
        yield f"{item.ref.partition('/')[0]}/{item.entry.formerly}"
