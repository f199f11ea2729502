"""The rule that chains revisions, stated once.

digest  sha256 of the salt (its hexadecimal digits) followed by the text, UTF-8
hash    sha256 of the revision's other fields, the hash before it among them, as JSON: keys in order, no spaces, ASCII

The first revision follows sixty-four zeros. The text is no part of the hash, only its digest is; so words can be erased
and the chain still verifies, and the random salt keeps anyone from guessing erased words by trying them.
"""

from __future__ import annotations

import json
import secrets
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from hashlib import sha256
from typing import Any

START = "0" * 64
FIELDS = ("seq", "entry", "kind", "name", "action", "at", "digest", "previous")


def new_salt() -> str:
    """Return sixteen fresh random bytes as hexadecimal digits."""
    return secrets.token_hex(16)


def digest(salt: str, text: bytes) -> str:
    """Return the salted digest of a text."""
    return sha256(salt.encode() + text).hexdigest()


def link_hash(fields: Mapping[str, Any]) -> str:
    """Return the hash of a revision from its fields."""
    stated = {field: fields[field] for field in FIELDS}
    return sha256(json.dumps(stated, sort_keys=True, separators=(",", ":")).encode()).hexdigest()


@dataclass(frozen=True)
class Link:
    """One revision as it stands in the chain, with its words unless they were erased.

    reason  of a revision that erases, why: a remark beside the chain
    """

    seq: int
    entry: int
    kind: str
    name: str
    action: str
    at: str
    digest: str | None
    previous: str
    hash: str
    salt: str | None = None
    text: str | None = None
    reason: str | None = None

    def fields(self) -> dict[str, Any]:
        """Return every field by name."""
        return asdict(self)

    def faults(self, seq: int, previous: str) -> list[str]:
        """Return what is wrong with this link as the one numbered `seq` after the hash `previous`."""
        wrong = []
        if self.seq != seq:
            wrong.append(f"revision {self.seq} stands where revision {seq} belongs")
        if self.previous != previous:
            wrong.append(f"revision {self.seq} does not name the hash of the revision before it")
        if self.hash != link_hash(vars(self)):
            wrong.append(f"revision {self.seq} was changed: its hash does not match its fields")
        if self.salt is not None and self.text is not None and self.digest != digest(self.salt, self.text.encode()):
            wrong.append(f"the words of revision {self.seq} were changed: their digest does not match")
        return wrong
