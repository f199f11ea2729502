"""The sections of a page about replies: those accepted before, and the form for one more."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from markupsafe import Markup

from ledger.casebook.consent import published
from ledger.casebook.items import Item
from ledger.casebook.values import Casebook
from ledger.entries.models import NONE_OF_THESE, Calculation, Hypothesis, Question, Reply
from ledger.publishing import fields
from ledger.publishing.addresses import Link, Ways, address
from ledger.publishing.bodies import render
from ledger.publishing.replying.settings import Destination
from ledger.publishing.scripting.joining import joined

ASSETS = files("ledger.publishing.replying") / "assets"
FOLDER = "assets/witness/reply"
VERSION = 1
KINDS = ("question", "hypothesis", "evidence", "calculation", "decision")
SCRIPTS = (
    "faults",
    "sha256",
    "proving",
    "shares",
    "checking",
    "numbers",
    "draft",
    "sending",
    "leaving",
    "sliders",
    "form",
    "section",
)
SHOWN = ("Thinks", "Would compute with")
_FINGERPRINT = re.compile("[0-9a-f]{64}")


@dataclass(frozen=True)
class Form:
    """What the template needs of the form: the script's address, what the script knows of the page, a mail address."""

    script: str
    data: str
    mail: str | None


@dataclass(frozen=True)
class Said:
    """One accepted reply where it is shown: who, what stance, when; the words; the answer."""

    link: Link
    who: str
    stance: str
    date: str
    body: Markup
    fields: tuple[fields.Field, ...]
    answer: str


@dataclass(frozen=True)
class Replying:
    """What a page says of replies; `form` is None where none is asked for."""

    said: tuple[Said, ...]
    form: Form | None


def replying(casebook: Casebook, item: Item, ways: Ways, pictures: frozenset[str], where: Destination) -> Replying:
    """Return the replies about an entry that may be shown, the oldest first, and the form for another."""
    asked = item.kind in KINDS and item.ref in casebook.entries
    return Replying(_said(casebook, item, ways, pictures), _form(casebook, item, ways, where) if asked else None)


def _said(casebook: Casebook, item: Item, ways: Ways, pictures: frozenset[str]) -> tuple[Said, ...]:
    found = []
    for one in casebook.of_kind("reply"):
        reply = one.entry
        if isinstance(reply, Reply) and reply.about == item.ref and published(one):
            told = tuple(field for field in fields.of(one, ways) if field.label in SHOWN)
            found.append(
                Said(
                    link=ways.to(one.ref, "on its own page"),
                    who=reply.name or "A reader",
                    stance=fields.STANCES[reply.stance],
                    date=reply.date,
                    body=render(casebook, one.body, ways.here, pictures).html,
                    fields=told,
                    answer=reply.answer or "",
                )
            )
    return tuple(sorted(found, key=lambda one: (one.date, one.link.href or "")))


def _form(casebook: Casebook, item: Item, ways: Ways, where: Destination) -> Form:
    edition = casebook.edition
    known = _FINGERPRINT.fullmatch(edition.fingerprint) is not None
    data: dict[str, Any] = {
        "version": VERSION,
        "about": item.ref,
        "title": item.title,
        "edition": {"number": edition.number, "fingerprint": edition.fingerprint} if known else None,
        "rivals": [{"ref": ref, "title": ways.to(ref).words} for ref in _rivals(casebook, item)],
        "question": _question_of(casebook, item, ways),
        "intake": where.intake,
        "mail": where.mail,
        "style": address(ways.here, f"{FOLDER}/reply.css"),
    }
    return Form(
        address(ways.here, f"{FOLDER}/reply.js"),
        json.dumps(data, ensure_ascii=False, separators=(",", ":")),
        where.mail,
    )


def _rivals(casebook: Casebook, item: Item) -> tuple[str, ...]:
    """Return the rivals that readers are asked about: of the one open question that an entry is about, if it is one."""
    question = _asked(casebook, item)
    if question is None:
        return ()
    return (*(one.ref for one in casebook.rivals(question)), NONE_OF_THESE)


def _question_of(casebook: Casebook, item: Item, ways: Ways) -> str | None:
    question = _asked(casebook, item)
    return None if question is None else ways.to(question).words


def _asked(casebook: Casebook, item: Item) -> str | None:
    questions = questions_of(casebook, item)
    if len(questions) != 1:
        return None
    (question,) = questions
    entry = casebook.entries[question].entry if question in casebook.entries else None
    if not isinstance(entry, Question) or entry.resolved is not None or not casebook.rivals(question):
        return None
    return question


def questions_of(casebook: Casebook, item: Item) -> set[str]:
    """Return the questions that an entry is, answers, tests an answer of, or bears on."""
    entry = item.entry
    if isinstance(entry, Question):
        return {item.ref}
    if isinstance(entry, Hypothesis):
        return {entry.question}
    if isinstance(entry, Calculation):
        tested = (casebook.entries[ref].entry for ref in entry.hypotheses if ref in casebook.entries)
        return {one.question for one in tested if isinstance(one, Hypothesis)}
    return {question for question, weighing in casebook.weighings.items() if item.ref in weighing.weights}


def assets() -> dict[str, bytes]:
    """Return by path the form's script and style."""
    style = (ASSETS / "reply.css").read_bytes()
    return {f"{FOLDER}/reply.js": script(), f"{FOLDER}/reply.css": style}


@cache
def script() -> bytes:
    """Return the form's scripts as one."""
    return joined(ASSETS, SCRIPTS)
