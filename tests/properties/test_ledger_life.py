"""A ledger's whole life in any order: whatever is done to it, it says what was last said and its chain verifies."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from ledger.entries.withdrawing import withdrawn_text
from ledger.errors import FaultsFound
from ledger.store.backup import back_up, restore
from ledger.store.derived import edition
from ledger.store.engine import open_store
from ledger.store.erasing import erase
from ledger.store.export import export
from ledger.store.migrating import steps
from ledger.store.posting import Report, post
from ledger.store.records import current, history
from ledger.store.verifying import verify
from tests.ledger_files import SMALL, put, taken
from tests.old_ledgers.keep import build
from tests.states import head

AT = "2032-05-17T09:00:00Z"
NOTE = "evidence/note-{}"
RESOLVED = "resolved: {answer: drum, date: 2032-01-01, reason: the casing was opened}\n"
QUESTION = "questions/forks"
WORDS = st.text("ab -#:é\n", max_size=12)


class Life(RuleBasedStateMachine):
    """`said` is what each standing or withdrawn entry says, `erased` the refs without words."""

    def __init__(self) -> None:
        super().__init__()
        self.top = Path(tempfile.mkdtemp())
        self.number = 0
        self.said: dict[str, str] = {}
        self.erased: set[str] = set()
        self.kept: tuple[Path, dict[str, str], set[str], str] | None = None

    def teardown(self) -> None:
        """Take the folder away."""
        shutil.rmtree(self.top)

    @property
    def entries(self) -> Path:
        """Return the folder of entry files."""
        return self.store.path.parent / "entries"

    def fresh(self) -> Path:
        """Return a new empty folder."""
        self.number += 1
        folder = self.top / f"place-{self.number}"
        folder.mkdir()
        return folder

    def post(self, changes: Mapping[str, str]) -> Report | None:
        """Write files and post. What is refused adds nothing, and is put back, as a person would; that gives None."""
        before, past = {ref: self.said.get(ref) for ref in changes}, head(self.store)
        put(self.entries, changes)
        try:
            report = post(self.store, self.entries, AT)
        except FaultsFound as found:
            # Nothing is wrong in these files themselves: only an entry that another one needs is withdrawn.
            if not any("\nwithdrawn:" in text for text in (*self.said.values(), *changes.values())):
                raise AssertionError("refused without a reason") from found
            assert head(self.store) == past
            for ref, text in before.items():
                if text is None:
                    (self.entries / f"{ref}.md").unlink()
                else:
                    put(self.entries, {ref: text})
            return None
        self.said |= changes
        return report

    @initialize(version=st.integers(0, len(steps())))
    def begin(self, version: int) -> None:
        """Begin with an empty store, or with a ledger that an earlier program wrote."""
        folder = self.fresh()
        if version:
            build(version, folder / "witness.sqlite")
        self.store = open_store(folder / "witness.sqlite")
        if version:
            self.said = {ref: record.text for ref, record in current(self.store).items()}
            self.erased = {"replies/reader-one"}
            put(self.entries, self.said)
        else:
            assert self.post(SMALL)

    @rule(data=st.data(), words=WORDS)
    def revise(self, data: st.DataObject, words: str) -> None:
        """Say more in any entry."""
        ref = data.draw(st.sampled_from(sorted(self.said)))
        count = len(history(self.store, ref))
        report = self.post({ref: self.said[ref] + words})
        assert len(history(self.store, ref)) == count + (report is not None and report.changed)
        assert report is None or report.changed == bool(words)

    @rule(words=WORDS)
    def add(self, words: str) -> None:
        """Post a note under a name nobody had."""
        self.number += 1
        ref = NOTE.format(self.number)
        report = self.post({ref: SMALL["evidence/hiss"] + words})
        assert report is None or report.new == (ref,)

    @rule(data=st.data())
    def withdraw_or_restore(self, data: st.DataObject) -> None:
        """Take an entry back, or take that back; a rule of the whole ledger may refuse it."""
        ref = data.draw(st.sampled_from(sorted(self.said)))
        lines = self.said[ref].splitlines(keepends=True)
        back = "".join(line for line in lines if not line.startswith("withdrawn:"))
        text = withdrawn_text(self.said[ref], "It was something else.") if back == self.said[ref] else back
        report = self.post({ref: text})
        assert report is None or (*report.withdrawn, *report.restored) == (ref,)

    @rule()
    def resolve_or_reopen(self) -> None:
        """Say which answer it was, or that it is open again."""
        text = self.said[QUESTION]
        title = "title: What moves the forks?\n"
        changed = text.replace(RESOLVED, "") if RESOLVED in text else text.replace(title, title + RESOLVED)
        report = self.post({QUESTION: changed})
        assert report is None or report.revised == (QUESTION,)

    @precondition(lambda self: any(ref.startswith("evidence/note") for ref in self.said))
    @rule(data=st.data())
    def erase(self, data: st.DataObject) -> None:
        """Erase a note: its words are gone from every revision, and its name is nobody's."""
        ref = data.draw(st.sampled_from([each for each in sorted(self.said) if each.startswith("evidence/note")]))
        erase(self.store, ref, AT, "asked by the writer")
        (self.entries / f"{ref}.md").unlink()
        del self.said[ref]
        self.erased.add(ref)

    @rule()
    def publish(self) -> None:
        """The same content keeps its number."""
        assert edition(self.store) == edition(self.store)

    @rule()
    def go_on_with_a_clone(self) -> None:
        """Export into an empty folder, post that into an empty store, and go on there: the past is the same."""
        folder, before = self.fresh(), head(self.store)
        export(self.store, folder / "entries")
        self.store = open_store(folder / "witness.sqlite")
        report = post(self.store, folder / "entries", AT)
        assert report.replayed
        assert (report.new, report.revised, report.absent) == ((), (), ())
        assert head(self.store) == before

    @rule()
    def back_up(self) -> None:
        """Keep a backup in a place of its own."""
        path = self.fresh() / "kept.sqlite"
        back_up(self.store, path)
        self.kept = path, dict(self.said), set(self.erased), head(self.store)

    @precondition(lambda self: self.kept is not None)
    @rule()
    def restore(self) -> None:
        """Take the last backup back: the ledger is as it was then, and what was erased since is told."""
        assert self.kept is not None
        path, said, erased, then = self.kept
        before = head(self.store)
        done = restore(self.store.path, path)
        assert done.aside is not None
        assert head(open_store(done.aside, write=False)) == before
        assert head(self.store) == then
        assert set(done.again) == self.erased - erased
        self.said, self.erased = dict(said), set(erased)
        shutil.rmtree(self.entries)
        put(self.entries, self.said)

    @invariant()
    def says_what_was_said(self) -> None:
        """It verifies, and every entry says what its file says; posting and exporting again change nothing."""
        if not self.said:
            return
        assert verify(self.store).problems == ()
        assert {ref: record.text for ref, record in current(self.store).items()} == self.said
        for ref in self.erased:
            assert not any(link.text for link in history(self.store, ref))
        assert not post(self.store, self.entries, AT).changed
        export(self.store, self.entries)
        files = {name for name in taken(self.entries) if name != "history.jsonl"}
        assert files == {f"{ref}.md" for ref in self.said}


# A life found wanting is told as it was found: making it shorter would take minutes.
LEAN = settings(
    max_examples=8,
    stateful_step_count=12,
    deadline=None,
    phases=[Phase.generate],
    suppress_health_check=list(HealthCheck),
)


def test_any_life_of_a_ledger_verifies() -> None:
    """Posting, revising, withdrawing, resolving, erasing, cloning, restoring and migrating, in any order."""
    run_state_machine_as_test(Life, settings=LEAN)


def test_a_ledger_that_forgets_is_found_out() -> None:
    """The machine refuses a life in which a revision is not posted."""

    class Forgetful(Life):
        def post(self, changes: Mapping[str, str]) -> Report | None:
            report = super().post(changes)
            self.said |= {ref: f"{text}and more" for ref, text in changes.items() if RESOLVED in text}
            return report

    with pytest.raises(AssertionError):
        run_state_machine_as_test(Forgetful, settings=LEAN)
