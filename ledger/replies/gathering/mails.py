"""Mails that carry replies: as an attached file, or pasted into the text.

Mail programs break long lines, also inside the quotes of JSON, and put `> ` before what they quote; both are undone.
"""

from __future__ import annotations

import mailbox as mailboxes
import re
from collections.abc import Iterator
from email import message_from_bytes
from email.message import Message
from email.policy import compat32
from html.parser import HTMLParser
from pathlib import Path

from ledger.errors import Fault
from ledger.replies.document import ReplyDocument
from ledger.replies.gathering.gathered import Gathered, nothing
from ledger.replies.received import Incoming
from ledger.replies.taking import reply_of
from ledger.replies.telling import faults_of
from ledger.replies.wording import Wrong, visible

MOST_PARTS = 200
LONGEST = 2_000_000
_BREAKS = re.compile(r"\r\n|\r")
_QUOTED = re.compile(r"^[ \t]*(?:>[ \t]?)+", re.MULTILINE)
_TOKEN = re.compile(r'"(?:[^"\\]|\\.)*"|[{}]', re.DOTALL)
_WRAPPED = re.compile(r"[ \t]?\n[ \t]*")
_BEGINS = re.compile(r"\{\s*\"")
_ENDLESS = Wrong(field="", given="JSON without an end", expected="a whole reply", remedy="Ask for it anew.")
_NONE = "no reply: none attached, none pasted"


def mailbox(path: Path, shown: str) -> Gathered:
    """Read every mail of a mailbox file, and name each by its number."""
    replies: list[Incoming] = []
    faults: list[Fault] = []
    box = mailboxes.mbox(path, create=False)
    try:
        for number, key in enumerate(box.iterkeys(), 1):
            found = mail(box.get_bytes(key), f"{shown}, mail {number}")
            replies += found.replies
            faults += found.faults
    finally:
        box.close()
    return Gathered(tuple(replies), tuple(faults))


def mail(content: bytes, shown: str) -> Gathered:
    """Read one mail: every reply attached to it, or else one in its text."""
    try:
        return _mail(content, shown)
    # The library's reader meets damaged mails with whatever error they happen to lead to.
    except Exception as error:
        given = f"a damaged mail ({type(error).__name__}: {visible(str(error))[:80]})"
        return nothing(shown, "", given, "a mail that can be read", "Save it anew, or ask for the reply's file.")


def _mail(content: bytes, shown: str) -> Gathered:
    message = message_from_bytes(content, policy=compat32)
    if not message.keys():
        return nothing(shown, "", "neither JSON nor a mail", "a file of replies", "Save it as JSON, mail or table.")
    replies, faults = [], []
    texts: list[str] = []
    attached = 0
    for part in _parts(message):
        text = _text(part)
        if _is_attached(part):
            attached += 1
            document, wrong = reply_of(text)
            faults += faults_of(wrong, shown)
        elif part.get_content_maintype() == "text":
            texts.append(_plain(text) if part.get_content_subtype() == "html" else text)
            continue
        else:
            continue
        if document is not None:
            replies.append(Incoming(document, document.sent, shown))
    if attached:
        return Gathered(tuple(replies), tuple(faults))
    tried = [found for text in texts if (found := _pasted(text)) is not None]
    for document, _ in tried:
        if document is not None:
            return Gathered((Incoming(document, document.sent, shown),))
    if tried:
        return Gathered(faults=tuple(faults_of(tried[0][1], shown)))
    return nothing(shown, "", _NONE, "a mail that carries one", "Take it up yourself, or leave it.")


def _parts(message: Message) -> Iterator[Message]:
    """Yield the parts that are no containers, so many at most, whatever is nested in what."""
    waiting = [message]
    for _ in range(MOST_PARTS):
        if not waiting:
            return
        part = waiting.pop(0)
        inside = part.get_payload()
        if isinstance(inside, list):
            waiting += [one for one in inside if isinstance(one, Message)]
        else:
            yield part


def _is_attached(part: Message) -> bool:
    name = str(part.get_filename() or "")
    return part.get_content_type() == "application/json" or name.lower().endswith(".json")


def _text(part: Message) -> str:
    """Return the text of a part; what its encoding does not know is replaced."""
    raw = part.get_payload(decode=True)
    content = raw if isinstance(raw, bytes) else b""
    charset = str(part.get_content_charset("utf-8"))
    try:
        text = content[:LONGEST].decode(charset, "replace")
    except (LookupError, ValueError):
        text = content[:LONGEST].decode("utf-8", "replace")
    return _BREAKS.sub("\n", text).removeprefix("\ufeff")


def _pasted(text: str) -> tuple[ReplyDocument | None, list[Wrong]] | None:
    """Return the reply in a text, or what is wrong with it; None where nothing in it begins like one.

    Marks of quotation are taken away where the reply begins behind one.
    """
    bare = _QUOTED.sub("", text)
    begins = _BEGINS.search(bare)
    if begins is None:
        return None
    line = text.split("\n")[bare.count("\n", 0, begins.start())]
    quoted = line.lstrip().startswith(">")
    said = _object(bare if quoted else text)
    return (None, [_ENDLESS]) if said is None else reply_of(said)


def _object(text: str) -> str | None:
    """Return the first object in a text as JSON, on lines as it was before it was mailed; None where none ends."""
    begins = _BEGINS.search(text)
    if begins is None:
        return None
    pieces, depth, last = [], 0, begins.start()
    for token in _TOKEN.finditer(text, begins.start()):
        if token[0][0] == '"':
            pieces += [text[last : token.start()], _WRAPPED.sub(" ", token[0])]
            last = token.end()
        else:
            depth += 1 if token[0] == "{" else -1
            if depth == 0:
                return "".join((*pieces, text[last : token.end()]))
    return None


class _Words(HTMLParser):
    """Collects the words of HTML, a line for each paragraph."""

    def __init__(self) -> None:
        super().__init__()
        self.words: list[str] = []

    def handle_data(self, data: str) -> None:
        self.words.append(data)

    def handle_starttag(self, tag: str, attrs: object) -> None:
        if tag in ("br", "p", "div", "li", "tr"):
            self.words.append("\n")


def _plain(html: str) -> str:
    words = _Words()
    words.feed(html)
    words.close()
    return "".join(words.words).replace("\u00a0", " ")
