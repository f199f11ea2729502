"""What holds for any reply: it is kept to the letter, named safely, and read from any bytes without breaking."""

from __future__ import annotations

import json
import re
import string
import unicodedata
import uuid
from email.message import EmailMessage
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ledger.entries.fields import NAME
from ledger.entries.reading import read_text
from ledger.replies.composing import Wanted, compose
from ledger.replies.document import LINE, TEXT, ReplyDocument, canonical, digest
from ledger.replies.gathering.files import gathered
from ledger.replies.gathering.forum import Columns
from ledger.replies.intake.limiting import Limiter
from ledger.replies.intake.proving import Prover, proves
from ledger.replies.surroundings import Surroundings
from ledger.replies.taking import checked, reply_of
from ledger.replies.titling import LONGEST_NAME, LONGEST_TITLE, name_of, title_of
from ledger.replies.wording import visible
from tests.intakes import reply, solve
from tests.ledger_files import SMALL

SIGNS = st.characters(exclude_categories=["Cs"])
NAMES = st.from_regex(r"[a-z0-9]{1,8}(-[a-z0-9]{1,8}){0,3}", fullmatch=True)
TEXTS = st.text(SIGNS, min_size=1, max_size=300).filter(lambda text: re.search(f"(?:{TEXT})\\Z", text) is not None)
LINES = st.text(SIGNS, min_size=1, max_size=60).filter(lambda text: re.search(f"(?:{LINE})\\Z", text) is not None)
DOCUMENTS = st.builds(
    reply,
    st.integers(1, 10**9),
    text=TEXTS,
    name=st.none() | LINES,
    contact=st.none() | LINES,
    credit=st.sampled_from(["named", "anonymous"]),
    consent=st.booleans(),
    stance=st.sampled_from(["agree", "doubt", "new-evidence", "another-hypothesis"]),
    confidences=st.dictionaries(
        st.sampled_from(["hypotheses/drum", "hypotheses/face-cam", "none-of-these"]), st.floats(0, 1)
    ),
    inputs=st.dictionaries(NAMES.map("calculations/{}".format), st.dictionaries(NAMES, LINES, max_size=3), max_size=3),
    edition=st.none(),
    sent=st.dates().map(str),
)
AROUND = Surroundings(
    Path("nowhere"), {ref: read_text(text, *ref.split("/")) for ref, text in SMALL.items()}, frozenset(), {}, {}
)


def taken(said: dict[str, Any]) -> ReplyDocument:
    """A reply, checked."""
    document, wrong = checked(said)
    assert document is not None, wrong
    return document


@given(DOCUMENTS)
def test_a_reply_is_the_same_after_any_way_of_writing_it(said: dict[str, Any]) -> None:
    """Its canonical form reads back as it was and has one digest, in whatever order and spacing it came."""
    document = taken(said)
    turned = json.dumps(dict(reversed(said.items())), indent=2, ensure_ascii=True)
    other, wrong = reply_of(turned)
    assert wrong == []
    assert other is not None
    assert json.loads(canonical(document)) == said
    assert digest(other) == digest(document)
    changed = taken({**said, "text": said["text"] + "."})
    assert digest(changed) != digest(document)


@given(DOCUMENTS)
def test_whatever_was_said_the_entry_says_the_same(said: dict[str, Any]) -> None:
    """The composed files read without a fault, in their folders, under plain names; the words are to the letter."""
    document = taken(said)
    composed = compose(document, "2031-06-01", AROUND, Wanted())
    for path, text in composed.files.items():
        place, folder, name = path.split("/")
        assert place in ("entries", "drafts")
        assert NAME.match(name.removesuffix(".md"))
        if folder == "replies":
            entry = read_text(text, folder, name.removesuffix(".md"))
            assert entry.body == said["text"]
            assert entry.front.get("name") == (said["name"] if said["credit"] == "named" and said["consent"] else None)
            shares = entry.front.get("confidences", {})
            assert not shares or abs(sum(shares.values()) - 1) < 0.005
        elif place == "entries":
            read_text(text, folder, name.removesuffix(".md"))
        elif not said["consent"]:
            assert said["text"] not in text or len(said["text"]) < 4


@given(st.text(max_size=400), st.text(string.ascii_letters, min_size=1, max_size=5))
def test_a_title_is_one_short_line_of_what_can_be_seen(text: str, otherwise: str) -> None:
    """From any text: not empty, without control signs, within its length, and ready for front matter."""
    title = title_of(text, otherwise)
    assert title.strip() == title != ""
    assert len(title) <= LONGEST_TITLE
    assert all(sign.isprintable() for sign in title)
    assert not any(unicodedata.category(sign) in ("Cc", "Cf", "Cs", "Zl", "Zp") for sign in title)


@given(st.text(max_size=200), st.sets(NAMES, max_size=5))
def test_a_name_is_plain_and_nobody_s_else(words: str, taken_names: set[str]) -> None:
    """Small letters, digits and hyphens, not too long, and none of those that are taken."""
    for _ in range(3):
        name = name_of(words, "reply-1", taken_names)
        assert NAME.match(name)
        assert name not in taken_names
        assert len(name) <= LONGEST_NAME + 8
        assert name not in ("others", "none-of-these", "index", "con", "nul")
        taken_names = taken_names | {name}


@given(st.text())
def test_what_is_shown_steers_nothing(text: str) -> None:
    """Every sign that is shown can be seen, or joins two that can; plain words stay as they are."""
    shown = visible(text)
    assert all(sign.isprintable() or sign in "\u200c\u200d" for sign in shown)
    assert shown == text or not text.isprintable()


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@pytest.mark.parametrize("name", ["a.json", "a.jsonl", "a.eml", "a.mbox", "a.csv", "a"])
@given(content=st.binary(max_size=300) | st.text(max_size=300).map(lambda text: text.encode("utf-8", "replace")))
def test_any_bytes_are_read_or_told(tmp_path: Path, name: str, content: bytes) -> None:
    """Under any name nothing breaks; what gives no reply gives at least one fault with all its words."""
    for start in (b"", b"From x\n", b'Subject: x\n\n{"', b"A,B\n"):
        path = tmp_path / name
        path.write_bytes(start + content)
        found = gathered([path], Columns({"text": "A", "sent": "B"}, {"about": "questions/forks", "stance": "doubt"}))
        assert all(fault.file and fault.given and fault.expected and fault.remedy for fault in found.faults)


@given(said=DOCUMENTS, width=st.integers(20, 78), quoted=st.booleans())
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_a_mailed_reply_comes_out_as_it_was(tmp_path: Path, said: dict[str, Any], width: int, quoted: bool) -> None:
    """Pasted into a mail whose lines a program breaks at single spaces, and perhaps quotes, it is the same reply."""
    said = {**said, "text": " ".join(said["text"].split()) or "x"}
    text = json.dumps(said, ensure_ascii=False)
    if re.search(r"\s{2}| $|^ |[^\S ]", text):
        return
    lines, line = [], ""
    for word in text.split(" "):
        if line and len(line) + len(word) > width and not word.startswith(">"):
            lines.append(line)
            line = word
        else:
            line = f"{line} {word}" if line else word
    broken = "\n".join(f"> {one}" if quoted else one for one in (*lines, line))
    mail = EmailMessage()
    mail["Subject"] = "Re: x"
    mail.set_content(f"Hello\n\n{broken}\n\nBye", cte="base64")
    path = tmp_path / "one.eml"
    path.write_bytes(mail.as_bytes())
    found = gathered([path])
    assert found.faults == ()
    assert json.loads(canonical(found.replies[0].document)) == said


@given(st.uuids(version=4), st.integers(0, 8), st.integers(10, 10**6), st.binary(min_size=16, max_size=32))
def test_a_proof_holds_where_it_should_and_nowhere_else(
    name: uuid.UUID, bits: int, lasting: int, secret: bytes
) -> None:
    """In its time, for its reply, under its secret; not one second after, for another, or under another."""
    prover = Prover(secret, bits, lasting)
    challenge = prover.challenge(str(name), 1_000.5)
    nonce = solve(challenge)
    assert proves(challenge, nonce)
    assert prover.wrong(str(name), challenge, nonce, 1_000 + lasting) == ""
    assert "old" in prover.wrong(str(name), challenge, nonce, 1_001 + lasting)
    assert "not made here" in prover.wrong(str(uuid.UUID(int=name.int ^ 1)), challenge, nonce, 1_001)
    assert "not made here" in Prover(secret + b"x", bits, lasting).wrong(str(name), challenge, nonce, 1_001)


@given(
    st.integers(1, 20), st.floats(1, 1e5), st.lists(st.tuples(st.floats(0, 100), st.integers(0, 2)), max_size=80)
)  # fmt: skip
def test_no_address_sends_more_than_burst_and_rate_allow(
    burst: int, hourly: float, calls: list[tuple[float, int]]
) -> None:
    """Over any stretch of time: at most the burst and what came in since; and no address holds up another."""
    limiter, alone = Limiter(burst, hourly), Limiter(burst, hourly)
    now = 0.0
    granted: list[float] = []
    for gap, address in calls:
        now += gap
        waits = limiter.wait(f"203.0.113.{address}", now)
        if address == 0:
            assert waits == alone.wait("203.0.113.0", now)
            granted += [now] if waits == 0 else []
    for first in range(len(granted)):
        for last in range(first, len(granted)):
            assert last - first + 1 <= burst + (granted[last] - granted[first]) * hourly / 3600 + 1e-6
