"""What there is to choose from: photographs and recordings, sources, entries with marks, questions and their rivals."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from hashlib import sha256
from pathlib import Path
from typing import Any

from ledger.bench.telling import Told, methods
from ledger.casebook.opening import STORE
from ledger.entries.models import Evidence, Hypothesis, Investigation, Measurement, Question, Source
from ledger.entries.reading import Document, examine, read_folder
from ledger.errors import FaultsFound, NotInLedger, WitnessError
from ledger.photo.methods import REGISTER
from ledger.photo.pictures import find
from ledger.publishing.words import CREDIBILITY, RELIABILITY
from ledger.quantities.chance import LADDER
from ledger.store.engine import open_store
from ledger.store.records import current

PICTURES = frozenset({".jpg", ".jpeg", ".jpe", ".jfif", ".png", ".webp", ".tif", ".tiff"})
RECORDINGS = frozenset({".wav", ".wave"})
# Folders of programs and of made pages hold nothing that a person put there to be measured.
PASSED = frozenset({"build", "node_modules", "__pycache__", "venv"})
MOST_FILES, DEEPEST = 1_000, 6


def listing(root: Path) -> Told:
    """Return everything there is to choose from, and what the forms are made of."""
    documents = standing(root)
    entries = {ref: document.entry for ref, document in documents.items()}
    sources = {ref: entry for ref, entry in entries.items() if isinstance(entry, Source)}
    title = next((one.title for one in entries.values() if isinstance(one, Investigation)), root.resolve().name)
    return {
        "title": title,
        "sources": [_source(root, ref, entry) for ref, entry in sources.items()],
        "files": sorted(_files(root)),
        "entries": [told for ref, document in documents.items() if (told := _reopened(ref, document, sources))],
        "questions": [
            {"ref": ref, "title": entry.title, "rivals": _rivals(ref, documents)}
            for ref, entry in entries.items()
            if isinstance(entry, Question)
        ],
        "methods": methods(),
        "credibility": CREDIBILITY,
        "reliability": RELIABILITY,
        "ladder": [words[0] for words, _, _ in LADDER],
    }


def standing(root: Path) -> dict[str, Document]:
    """Return every entry that is not withdrawn, as its file says it, or as the record does where it has no file.

    Files with faults are left out: they are told when they are posted.
    """
    found, _ = read_folder(root / "entries")
    documents = {document.ref: document for document in found}
    for ref, text in recorded(root).items():
        if ref not in documents and not (root / "entries" / f"{ref}.md").exists():
            folder, _, name = ref.partition("/")
            document, faults = examine(text, folder, name)
            if document is not None and not faults:
                documents[ref] = document
    return {ref: documents[ref] for ref in sorted(documents) if documents[ref].entry.withdrawn is None}


def recorded(root: Path) -> dict[str, str]:
    """Return the text of every entry in the record by ref; nothing where there is no record yet."""
    if not (root / STORE).is_file():
        return {}
    return {ref: record.text for ref, record in current(open_store(root / STORE, create=False)).items()}


def text_of(root: Path, ref: str) -> str | None:
    """Return the text of an entry: its file's, else the record's; None where there is neither.

    FaultsFound for a file that is no text.
    """
    file = root / "entries" / f"{ref}.md"
    if file.is_file() and not file.is_symlink():
        return file.read_bytes().decode("utf-8", "replace")
    return recorded(root).get(ref)


def digest_of(text: str) -> str:
    """Return by what the page knows the text it opened again."""
    return sha256(text.encode()).hexdigest()


def reopened(root: Path, ref: str) -> Told:
    """Return a measurement or an evidence note for the page. NotInLedger, or FaultsFound for one with faults."""
    folder, _, name = ref.partition("/")
    known = [one for one, document in standing(root).items() if _kind(document)]
    if ref not in known:
        raise NotInLedger(f"There is no measurement and no evidence note `{ref}` without faults to be opened.")
    text = text_of(root, ref)
    assert text is not None
    document, faults = examine(text, folder, name)
    if document is None or faults:
        raise FaultsFound(faults)
    return {"ref": ref, "kind": document.kind, "front": document.front, "body": document.body, "was": digest_of(text)}


def _kind(document: Document) -> bool:
    return isinstance(document.entry, Measurement | Evidence)


def _source(root: Path, ref: str, entry: Source) -> Told:
    try:
        here = entry.file is not None and find(root, entry.file) is not None
    except WitnessError:
        here = False
    name = ref.partition("/")[2]
    return {"name": name, "title": entry.title, "medium": entry.medium, "file": entry.file, "here": here}


def _reopened(ref: str, document: Document, sources: Mapping[str, Source]) -> Told | None:
    entry = document.entry
    if isinstance(entry, Measurement):
        by = entry.picked.by if entry.picked else ""
        if by not in REGISTER:
            return None
    elif not (isinstance(entry, Evidence) and entry.marks):
        return None
    source = sources.get(entry.source)
    picked = entry.picked.file if isinstance(entry, Measurement) and entry.picked else None
    return {
        "ref": ref,
        "title": entry.title,
        "kind": document.kind,
        "file": picked or (source.file if source else None),
    }


def _rivals(question: str, documents: Mapping[str, Document]) -> list[dict[str, Any]]:
    return [
        {"name": ref.partition("/")[2], "title": document.entry.title}
        for ref, document in documents.items()
        if isinstance(document.entry, Hypothesis) and document.entry.question == question
    ]


def _files(root: Path) -> Iterator[str]:
    """Yield pictures and recordings below a folder, by relative path; links and hidden folders are passed over."""
    count = 0
    for at, folders, files in os.walk(root):
        below = Path(at).relative_to(root)
        if len(below.parts) >= DEEPEST:
            folders.clear()
        folders[:] = sorted(one for one in folders if not one.startswith(".") and one not in PASSED)
        for name in sorted(files):
            path = Path(at) / name
            if path.suffix.lower() in PICTURES | RECORDINGS and not name.startswith(".") and not path.is_symlink():
                shown = (below / name).as_posix()
                if shown.isprintable():
                    yield shown
                    count += 1
                    if count >= MOST_FILES:
                        return
