"""Inputs that fuzzing began from, and those that once crashed a reader, are read or refused in words."""

from __future__ import annotations

from pathlib import Path

import pytest

from ledger.errors import Fault
from tests.fuzz import targets

CORPUS = Path(__file__).parent / "corpus"


@pytest.mark.parametrize("target", sorted(targets.TARGETS))
def test_every_kept_input_is_read_or_refused(target: str) -> None:
    """No input of the corpus raises anything, or is read otherwise when written again; there are some for each."""
    kept = sorted((CORPUS / target).iterdir())
    assert len(kept) > 2
    for path in kept:
        try:
            targets.TARGETS[target](path.read_bytes())
        except Exception as error:
            raise AssertionError(f"{target}/{path.name}: {error!r}") from error


def test_a_crash_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """An error that is no refusal, a reading that does not come back, and a fault without words are crashes."""

    def fail(*_given: object, **_named: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(targets, "open_picture", fail)
    with pytest.raises(ZeroDivisionError):
        targets.image(b"")
    monkeypatch.setattr(targets, "write", lambda front, body: f"---\nkind: question\ntitle: Another\n---\n{body}")
    with pytest.raises(AssertionError):
        targets.entry((CORPUS / "entry" / "questions-forks").read_bytes())
    with pytest.raises(AssertionError):
        targets.told(Fault("entries/x.md", 1, "title", "this", "that", ""))
