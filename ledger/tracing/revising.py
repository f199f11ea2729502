"""What was changed in an entry, in substance: its front matter and its text, not the names of what it refers to."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from ledger.casebook.items import Item
from ledger.entries.said import said
from ledger.tracing.reasons import Change

TEXT = "text"
LONGEST = 60
# That it was renamed says nothing, and a withdrawal is told by itself.
ASIDE = ("formerly", "withdrawn")
# A file is not named: its source may not allow that it is published.
FILES = ("file", "picked.file")
_TARGET = re.compile(r"(?<=\]\()([a-z]+/[a-z0-9-]+)")


def changes(then: Item, now: Item, names: Mapping[str, str]) -> tuple[Change, ...]:
    """Return the fields that say something else now than then, in the order of the entry's model; the text last.

    names  present refs by former ones
    """
    before, after = (said(one.entry, names) for one in (then, now))
    keys = [key for key in dict.fromkeys((*before, *after)) if key not in ASIDE]
    found = [change for key in keys for change in _differ(key, before.get(key), after.get(key))]
    if _text(then.body, names) != _text(now.body, names):
        found.append(Change(TEXT, "", ""))
    return tuple(found)


def _differ(path: str, before: Any, now: Any) -> Iterator[Change]:
    """Yield what differs; a mapping is gone into once, so that an input is told by its name, not by all its cells."""
    if before == now:
        return
    if isinstance(before, dict) and isinstance(now, dict) and "." not in path:
        for key in dict.fromkeys((*before, *now)):
            yield from _differ(f"{path}.{key}", before.get(key), now.get(key))
    elif path in FILES:
        yield Change(path, "", "")
    else:
        yield Change(path, _shown(before), _shown(now))


def _shown(value: Any) -> str:
    """Return a short value as text; one that is long is told to have changed, and no more."""
    if value is None or isinstance(value, dict):
        return ""
    if isinstance(value, list):
        shown = [_shown(one) for one in value]
        text = ", ".join(shown) if all(shown) else ""
    elif isinstance(value, bool):
        text = "yes" if value else "no"
    else:
        text = f"{value:g}" if isinstance(value, float) else " ".join(str(value).split())
    return text if len(text) <= LONGEST else ""


def _text(body: str, names: Mapping[str, str]) -> str:
    return _TARGET.sub(lambda found: names.get(found[1], found[1]), " ".join(body.split()))
