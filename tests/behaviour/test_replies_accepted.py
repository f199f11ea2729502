"""A reply accepted: entry files that say what the reader said, drafts for a person to judge, and nothing else."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from ledger.casebook.opening import open_casebook
from ledger.entries.reading import read_file
from ledger.entries.references import references
from ledger.errors import FaultsFound
from ledger.publishing.bodies import OUTWARD, TAGS, render
from ledger.replies import accepting
from ledger.replies.accepting import accept, write_new
from ledger.replies.composing import Wanted
from ledger.replies.received import Incoming, Received, received
from ledger.replies.taking import checked
from tests.hostile import NAMES, TEXTS
from tests.intakes import reply

Run = Callable[..., tuple[int, str, str]]
AT, DAY = "2031-06-02T10:00:00Z", "2031-06-01"
SHARES = {"hypotheses/coil-spring": 0.3, "hypotheses/leaf-spring": 0.6, "none-of-these": 0.1}


@pytest.fixture(scope="module")
def posted(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A started investigation, posted once."""
    from ledger.cli.place import Place
    from ledger.cli.posting import post_and_report
    from ledger.cli.recording import start

    folder = tmp_path_factory.mktemp("posted") / "case"
    start(folder, "What returns the latch?", "the author")
    post_and_report(Place(folder), quiet=True)
    return folder


@pytest.fixture
def case(posted: Path, tmp_path: Path) -> Path:
    """A copy of it."""
    return Path(shutil.copytree(posted, tmp_path / "case"))


def about(number: int = 1, **changes: Any) -> dict[str, Any]:
    """A reply to that investigation."""
    return reply(number, **{"about": "evidence/ping", "confidences": SHARES, **changes})


def take(store: Received, *replies: dict[str, Any]) -> None:
    """Receive replies."""
    documents = [checked(one)[0] for one in replies]
    store.take(Incoming(one, DAY, "a test") for one in documents if one is not None)


def accepted(case: Path, one: dict[str, Any], **wanted: Any) -> accepting.Accepted:
    """Receive and accept a reply."""
    with received(case) as store:
        take(store, one)
        return accept(case, store, one["id"], Wanted(**wanted), AT)


def front(case: Path, path: str) -> dict[str, Any]:
    """What the front matter of a file says."""
    return read_file(case / path, case).front


def state(case: Path) -> dict[str, bytes]:
    """Every file but the store of what was received, and side files of stores."""
    return {
        path.relative_to(case).as_posix(): path.read_bytes()
        for path in case.rglob("*")
        if path.is_file() and not path.name.startswith("replies.sqlite")
    }


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


def test_confidences_that_cannot_be_carried_whole_are_told(case: Path) -> None:
    """Rivals that are gone go to none of these; another sum is divided by; two questions, or nothing, are left out."""
    gone = {"hypotheses/coil-spring": 0.3, "hypotheses/gone": 0.6, "none-of-these": 0.1}
    done = accepted(case, about(1, text="One.", confidences=gone))
    assert front(case, done.written[0])["confidences"] == {"hypotheses/coil-spring": 0.3, "none-of-these": 0.7}
    assert any("hypotheses/gone" in note for note in done.notes)
    done = accepted(case, about(2, text="Two.", confidences={name: 2 * share / 4 for name, share in SHARES.items()}))
    assert front(case, done.written[0])["confidences"] == pytest.approx(SHARES)
    assert any("came to 0.5" in note for note in done.notes)
    for number, said in ((3, dict.fromkeys(SHARES, 0.0)), (4, {"none-of-these": 1.0}), (5, {"hypotheses/gone": 1.0})):
        done = accepted(case, about(number, text=f"Number {number}.", confidences=said))
        assert "confidences" not in front(case, done.written[0])
        assert any("left out" in note for note in done.notes)
    done = accepted(case, about(6, text="Six.", confidences={}, inputs={"calculations/gone": {"a": "1"}}))
    assert any("calculations/gone" in note for note in done.notes)
    strange = {"calculations/coil-fits": {"wire-colour": "5 mm"}}
    done = accepted(case, about(7, text="Seven.", confidences={}, inputs=strange))
    assert any("no input wire-colour" in note for note in done.notes)


def test_a_reader_s_clock_may_be_wrong(case: Path) -> None:
    """A day still to come is kept and told of, as it stands in the reply's file; a day long gone is taken."""
    late, early = (checked(about(number, text=f"On {number}."))[0] for number in (1, 2))
    assert late is not None
    assert early is not None
    with received(case) as store:
        store.take([Incoming(late, "9999-12-31", "a test"), Incoming(early, "0001-01-01", "a test")])
        told = accept(case, store, late.id, Wanted(), AT).notes
        assert any("9999-12-31, is still to come" in note for note in told)
        assert not any("to come" in note for note in accept(case, store, early.id, Wanted(), AT).notes)


def test_what_was_erased_is_told_and_another_subject_is_taken(case: Path, run: Run) -> None:
    """A reply about an entry whose words are gone waits until a person says what it is about now."""
    assert run("withdraw", "evidence/ping", "--reason", "x", "--in", case)[0] == 0
    assert run("erase", "evidence/ping", "--reason", "asked", "--yes", "--in", case)[0] == 0
    with pytest.raises(FaultsFound, match=r"--about"):
        accepted(case, about(1))
    with received(case) as store:
        done = accept(case, store, about(1)["id"], Wanted(about="questions/return"), AT)
    assert front(case, done.written[0])["about"] == "questions/return"


def test_an_entry_that_was_renamed_is_found_by_its_old_name(case: Path, run: Run) -> None:
    """The reader saw an edition from before: what it named then is named as it is now."""
    old, new = case / "entries/evidence/ping.md", case / "entries/evidence/pong.md"
    new.write_text(old.read_text("utf-8").replace("title:", "formerly: ping\ntitle:", 1), "utf-8")
    old.unlink()
    assert run("post", "--in", case)[0] == 0
    done = accepted(case, about(stance="doubt"))
    assert front(case, done.written[0])["about"] == "evidence/pong"


def test_a_rival_that_came_since_is_no_fault_of_the_reader_s(case: Path, run: Run) -> None:
    """Confidences in the rivals of an earlier edition are taken; what they leave is in none of these."""
    draft = "---\nkind: hypothesis\ntitle: A magnet\nquestion: return\nprior: 0\nreason: Invented.\n---\n"
    (case / "entries/hypotheses/magnet.md").write_text(draft, "utf-8")
    assert run("post", "--in", case)[0] == 0
    done = accepted(case, about())
    assert front(case, done.written[0])["confidences"] == SHARES
    code, out, _ = run("post", "--in", case)
    assert (code, "nothing for magnet" in out) == (0, True)


def test_nothing_is_written_over_and_names_stay_apart(case: Path) -> None:
    """The same words a second time get names of their own; those of entries erased or renamed before are not taken."""
    before = state(case)
    paths = [accepted(case, about(number, text="A ping!", name=None)).written[0] for number in (1, 2, 3)]
    assert paths == [f"entries/replies/a-ping{end}.md" for end in ("", "-2", "-3")]
    after = state(case)
    assert {path: after[path] for path in before} == before
    with pytest.raises(FileExistsError):
        write_new(case, {"entries/replies/other.md": "x", paths[0]: "y"})
    assert not (case / "entries/replies/other.md").exists()
    assert state(case) == after


@pytest.mark.parametrize("stance", ["doubt", "new-evidence", "another-hypothesis", "correction"])
@pytest.mark.parametrize("broken", [0, 1, 2])
def test_accepting_that_fails_has_done_nothing(
    case: Path, monkeypatch: pytest.MonkeyPatch, stance: str, broken: int
) -> None:
    """Whichever file cannot be written, none is there afterwards, no folder either, and the reply waits as before."""
    before = sorted(case.rglob("*"))
    calls = [0]
    link = os.link

    def failing(*words: Any, **more: Any) -> None:
        calls[0] += 1
        if calls[0] > broken:
            raise OSError(28, "No space left on device")
        link(*words, **more)

    one = about(stance=stance, about="measurements/depth" if stance == "correction" else "evidence/ping")
    with received(case) as store:
        take(store, one)
        monkeypatch.setattr(os, "link", failing)
        needed = 1 if stance == "doubt" else 3
        if broken >= needed:
            monkeypatch.setattr(os, "link", link)
            accept(case, store, one["id"], Wanted(), AT)
            return
        with pytest.raises(OSError, match="No space"):
            accept(case, store, one["id"], Wanted(), AT)
        assert store.find(one["id"]).state == "new"
        left = {path for path in case.rglob("*") if not path.name.startswith("replies.sqlite")}
        assert sorted(left) == before
        monkeypatch.setattr(os, "link", link)
        assert accept(case, store, one["id"], Wanted(), AT).written


def test_accepting_that_was_cut_off_is_brought_to_its_end(case: Path) -> None:
    """Killed after the decision, with some of its files: accepted again, the rest is written under the same names."""
    one = about(stance="new-evidence", text="A spring hangs out.")
    whole = accepted(case, one).written
    texts = {path: (case / path).read_bytes() for path in whole}
    for missing in whole:
        (case / missing).unlink()
        with received(case) as store:
            again = accept(case, store, one["id"], Wanted(), AT)
        assert again.written == (missing,)
        assert (case / missing).read_bytes() == texts[missing]
    with received(case) as store, pytest.raises(FaultsFound, match="was accepted on 2031-06-02"):
        accept(case, store, one["id"], Wanted(), AT)
    assert state(case).keys() >= set(whole)


def test_a_file_that_was_posted_and_deleted_is_not_written_again(case: Path, run: Run) -> None:
    """What stands in the record is there, whether its file is or not."""
    one = about(stance="doubt")
    (path,) = accepted(case, one).written
    run("post", "--in", case)
    (case / path).unlink()
    with received(case) as store, pytest.raises(FaultsFound, match="was accepted on"):
        accept(case, store, one["id"], Wanted(), AT)


@pytest.mark.parametrize("place", ["entries/replies", "drafts", "drafts/hypotheses"])
def test_a_link_in_the_way_is_not_followed(case: Path, tmp_path: Path, place: str) -> None:
    """A folder that is a link elsewhere is told; nothing is written there or here."""
    outside = tmp_path / "outside"
    outside.mkdir()
    target = case / place
    if target.exists():
        shutil.rmtree(target)
    target.parent.mkdir(exist_ok=True)
    target.symlink_to(outside, target_is_directory=True)
    before = state(case)
    with pytest.raises(FaultsFound, match="a link or a file in its place"):
        accepted(case, about(stance="another-hypothesis"))
    assert list(outside.iterdir()) == []
    assert state(case) == before


def test_hostile_words_are_accepted_as_words(case: Path, tmp_path: Path, run: Run) -> None:
    """Every one, as every purpose: files in their places alone, the same text read back, everything posts, and what is
    published of it has no tag, handler or address that could do anything."""
    neighbour = tmp_path / "neighbour.md"
    neighbour.write_text("mine")
    before = state(case)
    stances = ["doubt", "new-evidence", "another-hypothesis"]
    bodies: dict[str, str] = {}
    for number, text in enumerate(TEXTS, 1):
        one = about(number, text=text, name=NAMES[number % len(NAMES)], stance=stances[number % 3], confidences={})
        for path in accepted(case, one).written:
            place, folder, name = path.split("/")
            assert place in ("entries", "drafts")
            assert (case / path).resolve() == (case.resolve() / place / folder / name)
            if folder == "replies":
                bodies[path] = text
    after = state(case)
    assert {path: after[path] for path in before} == before
    assert all(path.startswith(("entries/", "drafts/")) for path in after.keys() - before.keys())
    assert neighbour.read_text() == "mine"
    for path, text in bodies.items():
        document = read_file(case / path, case)
        assert document.body == text
        assert document.front["name"] in NAMES
    assert len(bodies) == len(TEXTS)
    code, _, err = run("post", "--in", case)
    assert (code, err) == (0, "")
    casebook = open_casebook(case)
    for ref, item in casebook.entries.items():
        found = Tags()
        found.feed(str(render(casebook, item.body, f"{ref}.md").html))
        assert found.wrong == [], ref


class Tags(HTMLParser):
    """Collects what no published text may have."""

    def __init__(self) -> None:
        super().__init__()
        self.wrong: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in TAGS:
            self.wrong.append(tag)
        for name, value in attrs:
            scheme = (value or "").partition(":")[0].strip().lower() if ":" in (value or "") else ""
            if name.startswith("on") or name == "style" or (name in ("href", "src") and scheme not in {"", *OUTWARD}):
                self.wrong.append(f"{name}={value}")


def test_the_search_for_tags_refuses_what_it_should() -> None:
    """It names a script, a handler, a style and an address that runs."""
    found = Tags()
    found.feed("<script>x</script><p onclick=x style=y><a href=' javascript:x'>z</a><a href='https://a.example'>b</a>")
    assert found.wrong == ["script", "onclick=x", "style=y", "href= javascript:x"]


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
