"""What is fuzzed: four readers of what anybody may send, each with what must hold of whatever bytes it is given.

A reader either gives something that can be written and read again as the same, or says in words what is wrong. Any
other exception, and any answer that breaks this, is a crash.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from math import isfinite

from ledger.entries.fields import KINDS
from ledger.entries.reading import examine
from ledger.entries.writing import write
from ledger.errors import Fault, PhotoRefused
from ledger.photo.pictures import FORMATS, LONGEST, MOST_PIXELS, open_picture
from ledger.quantities.notation import NotationError, parse
from ledger.replies.document import canonical, digest, same_words
from ledger.replies.taking import reply_of

FOLDERS = tuple(sorted(KINDS))
# Larger pictures are as good, and slow.
MOST_FUZZED = 4_000_000


def entry(data: bytes) -> None:
    """Read an entry: the first byte chooses the kind, the rest is the file."""
    folder = FOLDERS[data[0] % len(FOLDERS)] if data else FOLDERS[0]
    text = data[1:].decode("utf-8", "replace")
    document, faults = examine(text, folder, "some-name")
    for fault in faults:
        told(fault)
    if faults:
        return
    assert document is not None
    again, wrong = examine(write(document.front, document.body), folder, "some-name")
    assert not wrong, wrong[0]
    assert again is not None
    assert (again.entry, again.front, again.body) == (document.entry, document.front, document.body)


def told(fault: Fault) -> None:
    """Hold a fault to having all its words, and no line that the file cannot have."""
    said(fault.given, fault.expected, fault.remedy, str(fault))
    assert fault.line >= 0, fault


def said(*words: str) -> None:
    """Hold words to being there, and fit to be printed."""
    assert all(words), words
    "".join(words).encode("utf-8")


def quantity(data: bytes) -> None:
    """Read a quantity: finite moments, bounds in order, and the same when its own text is read."""
    try:
        found = parse(data.decode("utf-8", "replace"))
    except NotationError as error:
        said(error.expected, error.remedy, str(error))
        return
    assert isfinite(found.mean)
    assert isfinite(found.std)
    assert found.std >= 0
    low, high = found.support
    assert low <= found.nominal <= high
    assert parse(found.text).numbers == found.numbers
    assert parse(found.text).unit == found.unit


def reply(data: bytes) -> None:
    """Read a reply: its canonical form is read as the same reply."""
    document, wrong = reply_of(data)
    assert "set_int_max_str_digits" not in str(wrong)
    for one in wrong:
        said(one["given"], one["expected"], one["remedy"])
        one["field"].encode("utf-8")
    assert (document is None) == bool(wrong)
    if document is not None:
        again, faults = reply_of(canonical(document).encode("utf-8"))
        assert not faults, faults[0]
        assert again == document
        assert digest(again) == digest(document)
        same_words(document)


def image(data: bytes) -> None:
    """Read a picture: within the limits, and as large as it says."""
    try:
        head = open_picture(data, "view.jpg", whole=False)
        assert head.format in FORMATS
        assert 0 < head.width * head.height <= MOST_PIXELS
        assert max(head.size) <= LONGEST
        if head.width * head.height > MOST_FUZZED:
            return
        whole = open_picture(data, "view.jpg")
    except PhotoRefused as error:
        said(*str(error).partition("; expected "))
        return
    assert whole.image is not None
    assert whole.image.size == (whole.width, whole.height) == (head.width, head.height)
    whole.image.convert("L").save(io.BytesIO(), "PNG")


TARGETS: dict[str, Callable[[bytes], None]] = {"entry": entry, "quantity": quantity, "reply": reply, "image": image}
