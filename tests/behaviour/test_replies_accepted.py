"""A reply accepted: entry files that say what the reader said, drafts for a person to judge, and nothing else."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest

from ledger.casebook.opening import open_casebook
from ledger.entries.reading import read_file
from ledger.entries.references import references
from ledger.errors import FaultsFound
from tests.accepting import DAY, SHARES, about, accepted, front
from tests.accepting import case as case
from tests.accepting import posted as posted
from tests.conftest import Run
from tests.intakes import reply


def test_a_reply_becomes_an_entry_that_says_what_was_said(case: Path, run: Run) -> None:
    """Words to the letter, subject, stance, name, the day it came, consent, confidences, inputs; and it posts."""
    text = "I **heard** it too.\r\n\r\n- twice\n\n---\nkind: evidence\n---"
    inputs = {"calculations/coil-fits": {"depth": "30 mm", "wire": "0.8 ± 0.1 mm"}}
    done = accepted(case, about(text=text, stance="doubt", inputs=inputs))
    assert done.written == ("entries/replies/i-heard-it-too.md",)
    document = read_file(case / done.written[0], case)
    assert document.body == text
    assert document.front == {
        "kind": "reply", "title": "I heard it too", "about": "evidence/ping", "stance": "doubt", "name": "Reader 1",
        "date": DAY, "consent": True, "confidences": SHARES, "inputs": inputs,
    }  # fmt: skip
    assert ("inputs.calculations/coil-fits", "calculations/coil-fits") in references(document.entry)
    assert run("post", "--in", case)[0] == 0
    casebook = open_casebook(case)
    assert casebook.entries["replies/i-heard-it-too"].body == text


def test_new_evidence_brings_the_reader_as_a_source_and_a_note_that_counts_nothing(case: Path, run: Run) -> None:
    """Grade F, credibility 6, no bearing, the rivals listed to be judged; posted as it is no confidence moves."""
    run("post", "--in", case)
    before = {ref: one.confidence for ref, one in standings(case).items()}
    done = accepted(case, about(text="A spring hangs out of the bottom.", stance="new-evidence"))
    assert done.written == (
        "entries/evidence/a-spring-hangs-out-of-the-bottom.md",
        "entries/replies/a-spring-hangs-out-of-the-bottom.md",
        "entries/sources/reader-00000000.md",
    )
    source, note = front(case, done.written[2]), front(case, done.written[0])
    assert (source["reliability"], source["author"], source["medium"]) == ("F", "Reader 1", "conversation")
    assert source["locator"] == f"reply {reply(1)['id']}"
    assert (note["source"], note["credibility"]) == ("reader-00000000", 6)
    assert "bearing" not in note
    assert "not judged" in note["uncounted"]
    text = (case / done.written[0]).read_text("utf-8")
    assert "#   coil-spring:\n#   leaf-spring:\n---\n" in text
    assert "> A spring hangs out of the bottom.\n" in text
    assert run("post", "--in", case)[0] == 0
    assert {ref: one.confidence for ref, one in standings(case).items()} == pytest.approx(before, abs=1e-15)


def standings(case: Path) -> dict[str, Any]:
    """Where the rivals stand."""
    return {one.rival: one for one in open_casebook(case).weighings["questions/return"].standings}


def test_another_hypothesis_is_a_draft_that_waits_for_its_prior(case: Path, run: Run) -> None:
    """It lies beside the entries, and posting goes on without it; moved it is refused, and with a prior it is taken."""
    done = accepted(case, about(text="A magnet, surely.", stance="another-hypothesis"))
    draft = case / "drafts/hypotheses/a-magnet-surely.md"
    assert "drafts/hypotheses/a-magnet-surely.md" in done.written
    assert run("post", "--in", case)[0] == 0
    moved = case / "entries/hypotheses/a-magnet-surely.md"
    shutil.copy(draft, moved)
    code, _, err = run("post", "--in", case)
    assert (code, "prior" in err) == (1, True)
    moved.write_text(draft.read_text("utf-8").replace("# prior: 0.05", "prior: 0.05"), "utf-8")
    rival = case / "entries/hypotheses/coil-spring.md"
    words = rival.read_text("utf-8")
    prior = front(case, "entries/hypotheses/coil-spring.md")["prior"]
    rival.write_text(words.replace(f"prior: {prior}", f"prior: {round(prior - 0.05, 3)}"), "utf-8")
    code, _, err = run("post", "--in", case)
    assert (code, err) == (0, "")


def test_a_correction_is_a_draft_of_the_entry_it_corrects(case: Path, run: Run) -> None:
    """The entry as it stands, with what the reader says below it; the entry itself keeps its bytes."""
    before = (case / "entries/measurements/depth.md").read_text("utf-8")
    done = accepted(case, about(about="measurements/depth", text="It is 40 mm.", stance="correction"))
    text = (case / "drafts/measurements/depth.md").read_text("utf-8")
    assert text.startswith(before)
    assert "> It is 40 mm." in text
    assert "[a reply](replies/it-is-40-mm)" in text
    assert (case / "entries/measurements/depth.md").read_text("utf-8") == before
    assert run("post", "--in", case)[0] == 0
    (case / "drafts/measurements/depth.md").replace(case / "entries/measurements/depth.md")
    assert run("post", "--in", case)[0] == 0
    shutil.copy(case / "entries/measurements/depth.md", case / "drafts/measurements/depth.md")
    with pytest.raises(FaultsFound, match="no draft of this entry"):
        accepted(case, about(2, about="measurements/depth", text="No, 41 mm.", stance="correction"))
    assert len(done.written) == 3


def test_words_that_may_not_be_published_stand_in_the_reply_alone(case: Path) -> None:
    """Without consent neither words nor name get into titles, names of files, sources or notes, which are published."""
    secret = about(text="Unrepeatable words of mine.", name="Unrepeatable Name", stance="new-evidence", consent=False)
    done = accepted(case, secret)
    for path in done.written:
        assert "unrepeatable" not in path
        text = (case / path).read_text("utf-8")
        assert ("Unrepeatable" in text) is path.startswith("entries/replies/")
        assert "Unrepeatable Name" not in text
    hidden = about(2, name="Unrepeatable Name", credit="anonymous", stance="new-evidence")
    for path in accepted(case, hidden).written:
        assert "Unrepeatable Name" not in (case / path).read_text("utf-8")


def test_one_reader_is_one_source(case: Path) -> None:
    """A second note of the same credited reader names the source that is there, and says so; `new` makes another."""
    first = accepted(case, about(1, name="Tove H.", stance="new-evidence"))
    second = accepted(case, about(2, name="tove  h.", stance="new-evidence", text="Another thing."))
    source = next(path for path in first.written if "/sources/" in path)
    assert not any("/sources/" in path for path in second.written)
    assert any("has a source already" in note for note in second.notes)
    note = next(path for path in second.written if "/evidence/" in path)
    assert f"sources/{front(case, note)['source']}.md" in source
    third = accepted(case, about(3, name="Tove H.", stance="new-evidence", text="A third."), source="new")
    assert any("/sources/" in path for path in third.written)
    with pytest.raises(FaultsFound, match="a source that stands"):
        accepted(case, about(4, stance="new-evidence"), source="sources/nobody")


def test_it_is_accepted_as_whatever_is_wanted(case: Path) -> None:
    """Another subject, title or purpose than the reply's own; a subject that is gone is told, with the way out."""
    done = accepted(
        case, about(1, stance="agree"), purpose="evidence", title="What a reader saw", about="questions/return"
    )
    assert "entries/evidence/what-a-reader-saw.md" in done.written
    assert front(case, "entries/replies/what-a-reader-saw.md")["about"] == "questions/return"
    with pytest.raises(FaultsFound, match=r"--about"):
        accepted(case, about(2, about="evidence/nothing"))


def test_the_command_says_what_it_wrote_and_what_is_left_to_do(case: Path, tmp_path: Path, run: Run) -> None:
    """Files, notes, and that a draft has to be moved; as JSON too."""
    path = tmp_path / "replies.json"
    path.write_text(
        json.dumps([about(1, stance="another-hypothesis", text="A magnet."), about(2, text="Yes.")]), "utf-8"
    )
    run("replies", "read", path, "--in", case)
    code, out, _ = run("replies", "accept", reply(1)["id"], "--in", case)
    assert code == 0
    assert "drafts/hypotheses/a-magnet.md is a draft: edit it, then move it to entries/hypotheses/a-magnet.md." in out
    assert "Nothing is posted yet" in out
    code, out, _ = run("replies", "accept", reply(2)["id"], "--in", case, "--json")
    assert json.loads(out)["written"] == ["entries/replies/yes.md"]
    code, _, err = run("replies", "accept", reply(2)["id"], "--as", "poem", "--in", case)
    assert (code, "one of reply, evidence, hypothesis, correction" in err) == (1, True)
