"""A reply as entry files: the reply itself, the reader as a source, and what a person is to judge, prefilled.

Nothing in them counts before a person has judged it. The source is graded F and a note 6, no basis to judge; a note
bears on nothing and says why it is uncounted, so that it may be posted as it is. A hypothesis takes a share from its
rivals, and a correction changes what was said: these are drafts, beside the entries and not among them, until a person
moves them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from math import fsum
from typing import Any, Literal

from ledger.calculators.register import REGISTER
from ledger.entries.fields import NONE_OF_THESE
from ledger.entries.models import Calculation, Hypothesis, Source
from ledger.entries.writing import write
from ledger.errors import Fault, FaultsFound, of_command
from ledger.replies.document import ReplyDocument
from ledger.replies.surroundings import DRAFTS, ENTRIES, Surroundings
from ledger.replies.titling import name_of, title_of

Purpose = Literal["reply", "evidence", "hypothesis", "correction"]
PURPOSES: dict[str, Purpose] = {
    "agree": "reply",
    "doubt": "reply",
    "new-evidence": "evidence",
    "another-hypothesis": "hypothesis",
    "correction": "correction",
}
NOT_JUDGED = "It came in a reply, and its bearing was not judged yet."
NOBODY = "A reader, not named"
_SUM = 0.005


@dataclass(frozen=True)
class Wanted:
    """How a reply is to be accepted: as what, and with another subject, title or source than it would have."""

    purpose: Purpose | None = None
    about: str | None = None
    title: str | None = None
    source: str | None = None


@dataclass(frozen=True)
class Composed:
    """Files by path below the investigation's folder, and what a person should know of them."""

    files: Mapping[str, str]
    notes: tuple[str, ...] = ()

    @property
    def entries(self) -> dict[str, str]:
        """Return by ref the texts of those that are entries, and no drafts."""
        start = f"{ENTRIES}/"
        return {
            path.removeprefix(start).removesuffix(".md"): text
            for path, text in self.files.items()
            if path.startswith(start)
        }


@dataclass
class _Names:
    """Names for new files: those chosen before by place and folder, where it was begun before, else new ones."""

    around: Surroundings
    chosen: Mapping[str, str]
    notes: list[str] = field(default_factory=list)

    def take(self, place: str, folder: str, words: str, otherwise: str) -> str:
        taken = self.around.taken.get(folder, frozenset())
        return self.chosen.get(f"{place}/{folder}") or name_of(words, otherwise, taken)


def compose(
    document: ReplyDocument, day: str, around: Surroundings, wanted: Wanted, before: Iterable[str] = ()
) -> Composed:
    """Return the files that accept a reply. Raises FaultsFound where posting them would be refused.

    day     when it was there
    before  paths chosen by an accepting that did not come to its end
    """
    purpose = wanted.purpose or PURPOSES[document.stance]
    about = _subject(document, around, wanted)
    parts = [path.removesuffix(".md").split("/") for path in before]
    names = _Names(around, {f"{place}/{folder}": name for place, folder, name in parts})
    # Titles are published with sources and notes, so that they hold no words of a reader who does not want that.
    held = f"A reply on “{around.documents[about].entry.title}”"
    title = wanted.title or (title_of(document.text, held) if document.consent else held)
    short = document.id.partition("-")[0]
    name = names.take(ENTRIES, "replies", title, f"reply-{short}")
    files = {f"{ENTRIES}/replies/{name}.md": _reply(document, day, about, title, around, names.notes)}
    if purpose != "reply":
        source, text = _source(document, day, names, wanted, title, short)
        files |= {f"{ENTRIES}/{source}.md": text} if text else {}
        refs = _Refs(about, f"replies/{name}", source)
        if purpose == "evidence":
            note = names.take(ENTRIES, "evidence", title, f"evidence-{short}")
            path = f"{ENTRIES}/evidence/{note}.md"
            text = _note(document, title, refs, around, quoted=True)
            if any(fault.field == "text" for fault in around.wrong_with(Composed({**files, path: text}).entries)):
                text = _note(document, title, refs, around, quoted=False)
                names.notes.append("The note does not quote the reply, as links in it lead nowhere.")
            files[path] = text
        elif purpose == "hypothesis":
            draft = names.take(DRAFTS, "hypotheses", title, f"hypothesis-{short}")
            files[f"{DRAFTS}/hypotheses/{draft}.md"] = _hypothesis(document, title, refs, around)
        else:
            files[f"{DRAFTS}/{about}.md"] = _correction(document, refs, around, names)
    composed = Composed(files, tuple(names.notes))
    faults = around.wrong_with(composed.entries)
    if faults:
        raise FaultsFound(faults)
    return composed


@dataclass(frozen=True)
class _Refs:
    """What the reply is about, the reply, and the source that it makes."""

    about: str
    reply: str
    source: str


def _subject(document: ReplyDocument, around: Surroundings, wanted: Wanted) -> str:
    about = wanted.about or document.about
    present = around.present(about)
    if present is None:
        standing = around.documents.get(about)
        given = f"`{about}`, withdrawn" if standing is not None else f"`{about}`"
        remedy = "Say what it is about now: `--about questions/forks`."
        raise FaultsFound([Fault(f"reply {document.id}", 0, "about", given, "an entry that stands", remedy)])
    return present


def _reply(document: ReplyDocument, day: str, about: str, title: str, around: Surroundings, notes: list[str]) -> str:
    front: dict[str, Any] = {"kind": "reply", "title": title, "about": about, "stance": document.stance}
    if document.credited is not None:
        front["name"] = document.credited
    front |= {"date": day, "consent": document.consent}
    confidences = _confidences(document, around, notes)
    if confidences:
        front["confidences"] = confidences
    inputs = {}
    for calculation, changed in sorted(document.inputs.items()):
        present = around.present(calculation)
        if present is None:
            notes.append(f"Its inputs for {calculation} are left out: that does not stand any more.")
        elif changed:
            inputs[present] = dict(sorted(changed.items()))
            known = _known_inputs(around, present)
            strange = sorted(name for name in changed if name.replace("-", "_") not in known)
            if strange:
                notes.append(f"{present} has no input {', '.join(strange)}: the reader's stays as it is.")
    if inputs:
        front["inputs"] = inputs
    return write(front, document.text)


def _known_inputs(around: Surroundings, calculation: str) -> set[str]:
    """Return the names of what the calculator of a calculation takes."""
    entry = around.entry(calculation)
    assert isinstance(entry, Calculation)
    found = REGISTER.get(entry.calculator)
    return set() if found is None else {one.name for one in found.inputs}


def _confidences(document: ReplyDocument, around: Surroundings, notes: list[str]) -> dict[str, float]:
    """Return the confidences in rivals that stand, and in none of these: what is not named here belongs to it."""
    kept: dict[str, float] = {}
    rest, gone = document.confidences.get(NONE_OF_THESE, 0.0), []
    for rival, share in document.confidences.items():
        present = around.present(rival) if rival != NONE_OF_THESE else None
        if present is not None:
            kept[present] = share
        elif rival != NONE_OF_THESE:
            rest += share
            gone.append(rival)
    total = fsum((*kept.values(), rest))
    questions = {entry.question for ref in kept if isinstance(entry := around.entry(ref), Hypothesis)}
    if not document.confidences:
        return {}
    if len(questions) != 1 or total <= 0:
        why = "they are no chances of the rivals of one question" if len(questions) != 1 else "they come to nothing"
        notes.append(f"Its confidences are left out: {why}.")
        return {}
    if gone:
        notes.append(f"Its shares for {', '.join(gone)}, which do not stand any more, went to {NONE_OF_THESE}.")
    if abs(total - 1) > _SUM:
        notes.append(f"Its confidences came to {total:.4g}; they were divided by that.")
    else:
        total = 1.0
    shares = {ref: round(share / total, 6) + 0.0 for ref, share in sorted(kept.items())}
    return {**shares, NONE_OF_THESE: round(rest / total, 6) + 0.0}


def _source(
    document: ReplyDocument, day: str, names: _Names, wanted: Wanted, title: str, short: str
) -> tuple[str, str]:
    """Return the ref of the source, and its text where it is a new one."""
    if wanted.source is not None:
        present = names.around.present(wanted.source)
        if present is None or not isinstance(names.around.entry(present), Source):
            given, remedy = f"`{wanted.source}`", "Name one as `sources/name`, or leave it out."
            raise FaultsFound([of_command("--source", given, "a source that stands", remedy)])
        return present, ""
    who = document.credited
    # A name outlives its entry's erasure: a person's has no place in it.
    name = names.take(ENTRIES, "sources", f"reader {short}", f"reader-{short}")
    front = {
        "kind": "source",
        "title": f"{who}, a reader" if who else f"A reader, not named: {title}",
        "medium": "conversation",
        "author": who or NOBODY,
        "date": day,
        "rights": "the reader's own, sent in to be published" if document.consent else "the reader's own, held",
        "publishable": document.consent,
        "reliability": "F",
        "locator": f"reply {document.id}",
    }
    return f"sources/{name}", write(front, "Not graded yet: F says that there is no basis to judge.\n")


def _note(document: ReplyDocument, title: str, refs: _Refs, around: Surroundings, *, quoted: bool) -> str:
    question = around.question_of(refs.about)
    front = {
        "kind": "evidence",
        "title": title,
        "source": refs.source.partition("/")[2],
        "credibility": 6,
        "uncounted": NOT_JUDGED,
    }
    rivals = [f"  {ref.partition('/')[2]}:" for ref in around.rivals(question)] if question else []
    hints = ["Judged: a credibility, a chance for each rival, and `uncounted` taken out.", "bearing:", *rivals]
    body = _quoting(document, refs.reply) if quoted else f"See [the reply]({refs.reply}).\n"
    return _hinted(front, hints, body)


def _hypothesis(document: ReplyDocument, title: str, refs: _Refs, around: Surroundings) -> str:
    question = around.question_of(refs.about)
    front = {"kind": "hypothesis", "title": title}
    front |= {"question": question.partition("/")[2]} if question else {}
    front["reason"] = f"Proposed by {document.credited or 'a reader'}."
    hints = [] if question else ["question: which-question-it-answers"]
    hints += ["A prior, taken from its rivals: with none-of-these, all sum to 1.", "prior: 0.05"]
    return _hinted(front, hints, _quoting(document, refs.reply))


def _correction(document: ReplyDocument, refs: _Refs, around: Surroundings, names: _Names) -> str:
    path = f"{DRAFTS}/{refs.about}.md"
    if (around.root / path).exists() and f"{DRAFTS}/{refs.about.partition('/')[0]}" not in names.chosen:
        remedy = "Bring that one to its end, or move it away; then accept this reply."
        raise FaultsFound([Fault(path, 0, "file", "a draft that is there", "no draft of this entry", remedy)])
    text = around.documents[refs.about].text
    gap = "" if text.endswith("\n\n") else "\n" if text.endswith("\n") else "\n\n"
    return f"{text}{gap}{_quoting(document, refs.reply)}"


def _quoting(document: ReplyDocument, reply: str) -> str:
    """Return a body that leads to the reply, and quotes it where it may be published."""
    if not document.consent:
        return f"A reader wrote of it, and does not want to be printed: see [the reply]({reply}).\n"
    quoted = "\n".join(f"> {line}".rstrip() for line in document.text.splitlines())
    return f"{document.credited or 'A reader'} writes in [a reply]({reply}):\n\n{quoted}\n"


def _hinted(front: Mapping[str, Any], hints: Iterable[str], body: str) -> str:
    """Return an entry's text with comments at the end of its front matter."""
    fence = "---\n"
    return "".join((write(front, "").removesuffix(fence), *(f"# {hint}\n" for hint in hints), fence, body))
