"""Whether an entry may be shown to others."""

from __future__ import annotations

from ledger.casebook.items import Item
from ledger.entries.models import Reply


def published(item: Item) -> bool:
    """Return whether an entry may be shown: a reply is shown only with its writer's consent."""
    return not isinstance(item.entry, Reply) or item.entry.consent
