"""The bench saves all or nothing: files written, posted and agreeing, or everything as it was."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from ledger.bench import saving
from ledger.bench.composing import Written
from ledger.bench.saving import save
from ledger.bench.serving import bench
from ledger.casebook.opening import STORE, open_casebook
from ledger.casebook.verifying import problems
from ledger.entries.reading import examine
from ledger.errors import FaultsFound
from ledger.store.engine import open_store
from ledger.store.posting import post
from ledger.store.records import current
from tests.bench_calls import DRAFT, HERE, NOTE, PICKS, PORT, TOKEN, fields
from tests.bench_calls import client as client
from tests.bench_calls import root as root
from tests.ledger_files import taken
from tests.measured_ledgers import SLEEVE, encoded, lay_out, photograph
from tests.states import head


def test_saving_writes_posts_and_agrees(client: TestClient, root: Path) -> None:
    """The file shown beforehand is the file that is written; it is posted, and its quantity is what its picks give."""
    shown = client.post("draft", json=DRAFT).json()["files"]
    assert not (root / "entries/measurements/sleeve-again.md").exists()
    saved = client.post("save", json=DRAFT).json()
    assert saved["files"] == shown
    assert saved["report"]["new"] == ["measurements/sleeve-again"]
    text = (root / "entries/measurements/sleeve-again.md").read_text()
    assert text == shown[0]["text"]
    assert "quantity: 17.4 ± 2.0 mm" in text
    assert "bar: [[812, 440], [1010, 655]]" in text
    assert "file:" not in text
    assert current(open_store(root / STORE))["measurements/sleeve-again"].text == text
    assert [one for one in problems(root) if "sleeve-again" in one.message] == []


def test_a_newcomer_s_photograph_gets_its_source_with_it(client: TestClient, root: Path) -> None:
    """A source that is not there yet is written and posted together with the measurement."""
    (root / "photographs" / "new.jpg").write_bytes(encoded(photograph()))
    fresh = {"name": "new-view", "title": "A new view", "medium": "photograph", "author": "A. Draughtsman",
             "date": "2031", "rights": "own work", "reliability": "B", "file": "photographs/new.jpg"}  # fmt: skip
    draft = {**DRAFT, "source": "", "fresh": fresh, "picked": {**PICKS, "file": "photographs/new.jpg"}}
    saved = client.post("save", json=draft).json()
    assert set(saved["report"]["new"]) == {"sources/new-view", "measurements/sleeve-again"}
    spoiled = {**draft, "name": "third", "fresh": {**fresh, "name": "third-view", "date": "soon"}}
    assert "fresh.date" in fields(client.post("save", json=spoiled))
    assert not (root / "entries/sources/third-view.md").exists()


def test_a_note_keeps_its_marks_and_bearings(client: TestClient, root: Path) -> None:
    """Marks and bearings come out as an entry has them, and reopening gives them back."""
    assert client.post("save", json=NOTE).json()["report"]["new"] == ["evidence/bright-flank"]
    text = (root / "entries/evidence/bright-flank.md").read_text()
    document, faults = examine(text, "evidence", "bright-flank")
    assert not faults
    assert document is not None
    assert document.front["marks"][0] == {"label": "flank", "box": [812.5, 440, 1010, 655]}
    assert document.front["bearing"] == {"drum": 0.9, "face-cam": "likely"}
    again = client.get("entry", params={"ref": "evidence/bright-flank"}).json()
    assert again["front"] == document.front
    assert again["body"] == "It shines.\n"
    assert open_casebook(root, count=500).entries["evidence/bright-flank"].title == "A bright flank"


def test_saving_again_revises_and_keeps_what_the_page_does_not_show(client: TestClient, root: Path) -> None:
    """Comments and other fields stay; the same saved twice changes nothing."""
    opened = client.get("entry", params={"ref": "measurements/sleeve"}).json()
    draft = {**DRAFT, "name": "sleeve", "title": "Width of the sleeve", "was": opened["was"], "body": opened["body"]}
    same = client.post("save", json=draft).json()
    assert same["files"][0]["text"] == SLEEVE
    assert same["report"]["unchanged"] == ["measurements/sleeve"]
    revised = client.post("save", json={**draft, "title": "Width of the sleeve by the bolt"}).json()
    assert revised["report"]["revised"] == ["measurements/sleeve"]
    assert revised["files"][0]["text"] == SLEEVE.replace("sleeve\n", "sleeve by the bolt\n", 1)
    late = client.post("save", json=draft)
    assert late.status_code == 422
    assert fields(late) == ["name"]
    moved = {**PICKS, "points": {**PICKS["points"], "part": [[300, 200], [520, 204]]}}
    opened = client.get("entry", params={"ref": "measurements/sleeve"}).json()
    other = client.post("save", json={**draft, "picked": moved, "was": opened["was"]}).json()
    assert other["report"]["revised"] == ["measurements/sleeve"]
    assert "520, 204" in other["files"][0]["text"]


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"title": " "}, "title"),
        ({"credibility": "9"}, "credibility"),
        ({"source": "nobody"}, "source"),
        ({"name": "Sleeve Width"}, ""),
        ({"name": "../../up"}, ""),
        ({"name": "sleeve"}, "name"),
        ({"was": "0" * 64}, "name"),
        ({"method": ""}, "method"),
        ({"picked": {**PICKS, "known": {}}}, "picked.known"),
        ({"picked": {**PICKS, "points": {**PICKS["points"], "part": [[1, 1], [2, 2]]}}}, ""),
        ({"picked": {**PICKS, "doubt": "much"}}, "picked.doubt"),
        ({"picked": {**PICKS, "file": "../out.jpg"}}, "picked.file"),
    ],
)
def test_a_fault_leaves_everything_as_it_was(client: TestClient, root: Path, change: Any, field: str) -> None:
    """Whatever is wrong is told, and no file and no record has changed."""
    files, record = taken(root), head(open_store(root / STORE))
    answer = client.post("save", json={**DRAFT, **change})
    assert answer.status_code == 422, answer.text
    if field:
        assert field in fields(answer)
    assert taken(root) == files
    assert head(open_store(root / STORE)) == record


def test_a_fault_found_only_in_posting_takes_the_files_away_again(client: TestClient, root: Path) -> None:
    """A bearing that leaves a rival out is found against the whole ledger; the file that was written is gone then."""
    files = taken(root / "entries")
    assert client.post("save", json={**NOTE, "bearing": {"drum": "0.9"}}).status_code == 422
    assert taken(root / "entries") == files
    opened = client.get("entry", params={"ref": "evidence/sleeve-groove"}).json()
    spoiled = {
        **NOTE,
        "name": "sleeve-groove",
        "source": "bench-left",
        "was": opened["was"],
        "bearing": {"drum": "0.9"},
    }
    assert client.post("save", json=spoiled).status_code == 422
    assert taken(root / "entries") == files


def test_what_waits_in_other_files_waits_on(client: TestClient, root: Path) -> None:
    """A fault in somebody's half-written file does not hold a measurement up, and that file is not posted."""
    (root / "entries/evidence/half.md").write_text("---\nkind: evidence\n---\n")
    (root / "entries/sources/other.md").write_text((root / "entries/sources/view.md").read_text())
    assert client.post("save", json=DRAFT).json()["report"]["new"] == ["measurements/sleeve-again"]
    named = {**DRAFT, "name": "third", "source": "other"}
    assert set(client.post("save", json=named).json()["report"]["new"]) == {"measurements/third", "sources/other"}


def test_into_an_empty_record_everything_goes(tmp_path: Path) -> None:
    """In an investigation that was never posted, the first measurement takes along what it stands among."""
    lay_out(tmp_path)
    client = TestClient(bench(tmp_path, TOKEN, PORT), base_url=f"{HERE}/{TOKEN}/")
    report = client.post("save", json=DRAFT).json()["report"]
    assert {"investigation/gearbox", "sources/view", "measurements/sleeve-again"} <= set(report["new"])


def test_what_posting_refuses_the_bench_refuses(tmp_path: Path) -> None:
    """Everything goes with the first measurement, so a decision that fixes what the sheet has not holds it up too."""
    lay_out(tmp_path)
    (tmp_path / "entries/decisions").mkdir(exist_ok=True)
    (tmp_path / "entries/decisions/size.md").write_text(
        "---\nkind: decision\ntitle: The size\nchoice: small\ngrounds: [sources/view]\ntaken: 2031-06-01\n"
        "fixes: {no-such-number: 5 mm}\n---\n"
    )
    files = taken(tmp_path / "entries")
    client = TestClient(bench(tmp_path, TOKEN, PORT), base_url=f"{HERE}/{TOKEN}/")
    answer = client.post("save", json=DRAFT)
    assert (answer.status_code, fields(answer)) == (422, ["fixes.no-such-number"])
    assert taken(tmp_path / "entries") == files


def test_nothing_is_written_through_a_link(root: Path) -> None:
    """A link in the place of a file or a folder is refused; what it leads to stays as it was."""
    outside = root.parent / "outside.md"
    outside.write_text("as it was")
    (root / "entries/measurements/linked.md").symlink_to(outside)
    text = SLEEVE.replace("of the sleeve", "of a link")
    with pytest.raises(FaultsFound, match="a link or folder in its place"):
        save(root, [Written("measurements/linked", text, None)])
    assert outside.read_text() == "as it was"
    with pytest.raises(FaultsFound, match="small letters"):
        save(root, [Written("measurements/../../up", text, None)])


@pytest.mark.parametrize("after", [True, False])
def test_a_file_stands_only_with_its_posting(root: Path, monkeypatch: pytest.MonkeyPatch, after: bool) -> None:
    """Stopped after the posting, the file stays as the record has it; stopped before it, the file goes."""

    def stopped(*words: Any) -> None:
        if after:
            post(*words)
        raise KeyboardInterrupt

    monkeypatch.setattr(saving, "post", stopped)
    source = (root / "entries/sources/view.md").read_text()
    with pytest.raises(KeyboardInterrupt):
        save(root, [Written("sources/again", source, None)])
    assert (root / "entries/sources/again.md").exists() == after
    assert ("sources/again" in current(open_store(root / STORE))) == after
