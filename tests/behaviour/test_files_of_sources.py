"""The files that sources are kept in: what of them a site holds, and which faults in naming them are told."""

from __future__ import annotations

import re
from functools import partial
from pathlib import Path

import pytest

from ledger.building.before_posting import check_changed
from ledger.casebook.items import Item
from ledger.casebook.opening import STORE, open_casebook
from ledger.casebook.originals import all_unread
from ledger.casebook.values import Casebook
from ledger.entries.reading import examine
from ledger.errors import FaultsFound, PhotoRefused
from ledger.photo.chunks import plain_wav
from ledger.photo.recording import read_recording
from ledger.press import Laid, build
from ledger.publishing.media.own_files import left_out
from ledger.store import records
from ledger.store.engine import open_store
from ledger.store.posting import post
from ledger.tracing.revising import changes
from tests.ledger_files import SMALL, put
from tests.measured_ledgers import CHANGE_GAP, SECRET, SLEEVE, SOURCES, jpeg, recording
from tests.sites import Page, investigation

DOCS = "site/pages"
LIST = b"LIST" + (8 + len(SECRET)).to_bytes(4, "little") + b"INFOICMT" + SECRET.encode()


def source(file: str, rights: str = "publishable: true\n", of: str = "view") -> str:
    """Return a source with another file and other rights."""
    text = re.sub(r"publishable: true\n", "", SOURCES[f"sources/{of}"])
    return re.sub(r"file: .*\n", f"{rights}file: {file}\n", text)


def told_of_itself() -> bytes:
    """Return the recording with who made it in a chunk before its sound and one after it."""
    data = recording()
    at = data.index(b"data")
    body = data[12:at] + LIST + data[at:] + LIST
    return b"RIFF" + (len(body) + 4).to_bytes(4, "little") + b"WAVE" + body


def opened(root: Path) -> Casebook:
    """Post what stands in a folder, and open it."""
    post(open_store(root / STORE), root / "entries", "2031-06-01T00:00:00Z")
    return open_casebook(root, count=300)


@pytest.fixture(scope="module")
def case(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Casebook]:
    """An investigation whose pictures and recordings lie in the site's folder, some of them not to be published."""
    root = tmp_path_factory.mktemp("files") / "case"
    photographs, recordings = f"{DOCS}/photographs", f"{DOCS}/recordings"
    put(
        root / "entries",
        {
            **SMALL,
            "sources/view": source(f"{photographs}/view.jpg"),
            "sources/linked": source(f"{photographs}/linked one.jpg"),
            "sources/in-a-text": source(f"{photographs}/in-a-text.jpg") + "![It](photographs/in-a-text.jpg)\n",
            "sources/secret": source(f"{photographs}/secret.jpg", "publishable: false\n"),
            "sources/gone": source(f"{photographs}/gone.jpg", "publishable: true\nwithdrawn: not what it seemed\n"),
            "sources/drive": source(f"{recordings}/drive.wav", of="drive"),
            "sources/hushed": source(f"{recordings}/hushed.wav", "", "drive"),
            "sources/tape": source(f"{recordings}/tape.mp3", of="drive"),
            "measurements/sleeve": SLEEVE.replace("source: view", "source: secret").replace(
                "picked:\n", f"picked:\n  file: {photographs}/secret-too.jpg\n"
            ),
            "measurements/gap": CHANGE_GAP.replace("source: drive", "source: hushed"),
        },
    )
    config = investigation(root)
    pages = config.parent / "pages"
    for name in ("view", "linked one", "in-a-text", "secret", "secret-too", "gone", "my-own"):
        (pages / "photographs").mkdir(exist_ok=True)
        (pages / "photographs" / f"{name}.jpg").write_bytes(jpeg())
    (pages / "recordings").mkdir()
    for name in ("drive.wav", "hushed.wav", "tape.mp3", "my-own.wav"):
        (pages / "recordings" / name).write_bytes(told_of_itself())
    (pages / "twin.jpg").symlink_to(pages / "photographs" / "secret.jpg")
    (pages / "about.md").write_text("# Own\n\n![One](photographs/linked%20one.jpg) and view.jpg.old\n")
    casebook = opened(root)
    (pages / "recordings" / "hushed.wav").write_bytes(b"no sound")
    return root, casebook


@pytest.fixture(scope="module")
def site(case: tuple[Path, Casebook]) -> Path:
    """Its site."""
    return build(case[0] / "site" / "mkdocs.yml", case[1])


def test_what_may_not_be_published_lies_nowhere_in_the_site(site: Path) -> None:
    """No file, page, index or table has the picture of a source without rights or withdrawn, or its name."""
    published = [path for path in site.rglob("*") if path.is_file()]
    for word in ("secret.jpg", "secret-too.jpg", "gone.jpg", "hushed.wav", "twin.jpg"):
        assert not [path for path in published if path.name == word]
        assert not [path for path in published if word.encode() in path.read_bytes()], word
    assert not [path for path in published if SECRET.encode() in path.read_bytes()]


def test_no_page_gives_two_things_one_name(site: Path) -> None:
    """An id stands once on its page, so that a link to it leads to one place."""
    for path in site.rglob("*.html"):
        ids = re.findall(r'<[^>]*\sid="([^"]+)"', path.read_text("utf-8"))
        assert len(ids) == len(set(ids)), path.name


def test_a_source_s_file_lies_in_the_site_once_unless_a_page_names_it(site: Path) -> None:
    """Pictures are on their sources' pages alone; one that a page or a text links to lies there too, and own files."""
    assert {path.name for path in (site / "photographs").iterdir()} == {"linked one.jpg", "in-a-text.jpg", "my-own.jpg"}
    assert {path.name for path in (site / "recordings").iterdir()} == {"my-own.wav"}
    shown = {path.name.rpartition("-")[0] for path in (site / "assets/witness/pictures").iterdir()}
    assert shown == {"view", "linked", "in-a-text"}


def test_no_mention_lets_out_what_may_not_be_published(case: tuple[Path, Casebook]) -> None:
    """Were every file named on a page of one's own, those without rights, withdrawn or sealed would stay out alike."""
    root, casebook = case
    pages = root / DOCS
    own = {path.relative_to(pages).as_posix(): path for path in pages.rglob("*") if path.is_file()}
    assert left_out(casebook, root, own, " ".join(path.name for path in own.values())) == {
        "photographs/secret.jpg", "photographs/secret-too.jpg", "photographs/gone.jpg", "twin.jpg",
        "recordings/hushed.wav", "recordings/tape.mp3",
    }  # fmt: skip


def test_a_preview_leaves_out_what_the_site_leaves_out(case: tuple[Path, Casebook], site: Path) -> None:
    """Asked for by address, a preview has the files that the site has, and no others."""
    laid = Laid(case[0] / "site" / "mkdocs.yml")
    for path in ("photographs/secret.jpg", "photographs/gone.jpg", "recordings/hushed.wav", "photographs/view.jpg"):
        assert laid.get(path) is None
    assert laid.get("photographs/my-own.jpg") == (site / "photographs" / "my-own.jpg").read_bytes()


def test_a_recording_is_played_on_its_source_s_page(site: Path) -> None:
    """It is loaded on demand, from the site, with its credit and no path; one without rights or no WAV is not."""
    text = (site / "sources" / "drive.html").read_text("utf-8")
    (played,) = [one for one in Page(text).addresses if one[0] == "audio"]
    assert re.fullmatch(r"\.\./assets/witness/recordings/drive-[0-9a-f]{8}\.wav", played[2])
    assert played[3]["preload"] == "none"
    assert "controls" in played[3]
    assert "Recording by A. Draughtsman, 2031-05-17. own work" in Page(text).text
    assert f"{DOCS}/" not in text
    heard = read_recording(site / "sources" / played[2])
    assert (heard.samples == read_recording(recording()).samples).all()
    assert "<audio" not in (site / "sources" / "hushed.html").read_text("utf-8")
    tape = (site / "sources" / "tape.html").read_text("utf-8")
    assert "<audio" not in tape
    assert "The recording is not played here" in tape


@pytest.mark.parametrize(
    "data", [b"", b"RIFF", jpeg(), recording()[:5000], recording()[:36], recording().replace(b"fmt ", b"FMT ", 1)]
)
def test_what_is_no_whole_wav_is_refused(data: bytes) -> None:
    """A cut, empty or other file is told with what was given, what was expected and how to mend it."""
    with pytest.raises(PhotoRefused) as refused:
        plain_wav(data, "drive.wav")
    assert all(refused.value.parts())


@pytest.mark.parametrize("path", ["/etc/passwd", "../../../../etc/passwd", "site/../../view.jpg", "out/hosts", "site"])
def test_a_path_out_of_the_investigation_is_a_fault_before_posting(tmp_path: Path, path: str) -> None:
    """Absolute, upward, through a link, or a folder: place, field, what was given and how to mend it; none posted."""
    (tmp_path / "site").mkdir()
    (tmp_path / "out").symlink_to("/etc")
    put(tmp_path / "entries", {**SMALL, "sources/view": source(path)})
    store = open_store(tmp_path / STORE)
    rules = partial(check_changed, tmp_path)
    with pytest.raises(FaultsFound) as refused:
        post(store, tmp_path / "entries", "2031-06-01T00:00:00Z", rules)
    (fault,) = refused.value.faults
    assert (fault.file, fault.field) == ("entries/sources/view.md", "file")
    assert path in fault.given
    assert fault.line > 1
    assert fault.expected
    assert fault.remedy
    assert not records.current(store)


def test_a_file_that_is_away_or_damaged_is_named(tmp_path: Path) -> None:
    """A file not there, a picture cut off and a WAV that is none are each told, with the entry; sound ones are not."""
    files = {
        "sources/away": source("photographs/away.jpg"),
        "sources/cut": source("photographs/cut.jpg"),
        "sources/hushed": source("recordings/hushed.wav", of="drive"),
        "sources/fine": source("photographs/fine.jpg"),
        "sources/drive": source("recordings/drive.wav", of="drive"),
    }
    put(tmp_path / "entries", {**SMALL, **files})
    contents = {"photographs/cut.jpg": jpeg()[:4000], "photographs/fine.jpg": jpeg(),
                "recordings/hushed.wav": jpeg(), "recordings/drive.wav": recording()}  # fmt: skip
    for name, content in contents.items():
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_bytes(content)
    told = all_unread(opened(tmp_path), tmp_path)
    assert len(told) == 3
    assert "sources/away names the file photographs/away.jpg, which is not here" in told[0]
    assert "the file of sources/cut cannot be read" in told[1]
    assert "the file of sources/hushed cannot be read" in told[2]


def test_what_changed_in_a_source_is_told_without_its_file() -> None:
    """That the file of a source is another is said, and neither of its names; other fields are told as ever."""
    document = {"sources/view": source("photographs/one.jpg", "")}
    revised = {"sources/view": source("photographs/two.jpg", "").replace("reliability: B", "reliability: C")}
    then, now = (item_of(one["sources/view"]) for one in (document, revised))
    assert [(one.field, one.before, one.now) for one in changes(then, now, {})] == [
        ("reliability", "B", "C"),
        ("file", "", ""),
    ]


def item_of(text: str) -> Item:
    """Return a source's text as an item."""
    document, faults = examine(text, "sources", "view")
    assert document is not None
    assert not faults
    return Item("sources/view", "source", "view", document.entry, document.body, 1)
