"""The sources as CSL JSON, for programs that set citations by a style.

Source: Citation Style Language 1.0.2, appendices III (types) and IV (variables), and its schema of input data.
"""

from __future__ import annotations

from typing import Any

from ledger.casebook.values import Casebook
from ledger.handing.as_json import encoded
from ledger.handing.citing import Cited, cited

NAME = "sources.csl.json"
TYPES = {
    "photograph": "graphic",
    "recording": "document",
    "document": "document",
    "patent": "patent",
    "rules": "regulation",
    "book": "book",
    "conversation": "personal_communication",
    "specimen": "document",
}
RECORDINGS = {"sound": "song", "film": "motion_picture"}


def files(casebook: Casebook) -> dict[str, bytes]:
    """Return the standing sources as a list of items. The same casebook gives the same bytes."""
    return {NAME: encoded([_item(one) for one in cited(casebook)])}


def _item(one: Cited) -> dict[str, Any]:
    """Return one item. A recording is of the type for sound or film where its file tells which."""
    return {
        "id": one.key,
        "type": RECORDINGS.get(one.form, TYPES[one.medium]),
        "title": one.title,
        "author": [{"literal": one.author}],
        "issued": {"date-parts": [list(one.date)]},
        "medium": one.medium,
        "note": one.note,
        **({"URL": one.url} if one.url else {}),
    }
