"""A reply read from JSON, with everything that is wrong with it at once."""

from __future__ import annotations

from typing import Any

from pydantic import ValidationError

from ledger.replies.document import ReplyDocument
from ledger.replies.strictly import loads
from ledger.replies.wording import Wrong, wrongs


def reply_of(content: bytes | str) -> tuple[ReplyDocument | None, list[Wrong]]:
    """Return the reply that JSON says, or all that is wrong with it."""
    try:
        data = loads(content)
    except ValueError as error:
        return None, [Wrong(field="", given=f"no JSON to take: {error}", expected="one JSON object", remedy="Mend it.")]
    return checked(data)


def checked(data: Any) -> tuple[ReplyDocument | None, list[Wrong]]:
    """Return the reply that data says, or all that is wrong with it."""
    try:
        return ReplyDocument.model_validate(data), []
    except ValidationError as error:
        return None, wrongs(error)
