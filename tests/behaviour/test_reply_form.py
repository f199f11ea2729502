"""The form where readers reply: from files, by keyboard, narrow and wide; saved, mailed, drafted."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, unquote, urlsplit

import pytest

from ledger.errors import FaultsFound, WitnessError
from ledger.publishing.live.policy import guarded
from ledger.publishing.replying.settings import destination
from ledger.replies.gathering.files import gathered
from ledger.replies.taking import reply_of
from tests import replying
from tests.replying import CALCULATION, MAIL, NOTE, QUESTION, Reader

Opener = Callable[..., Reader]
RIVALS = ["hypotheses/coil-spring", "hypotheses/leaf-spring", "none-of-these"]


@pytest.fixture(scope="module")
def root(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A posted investigation."""
    return replying.lay_out(tmp_path_factory.mktemp("replying") / "case")


@pytest.fixture(scope="module")
def site(root: Path) -> Path:
    """Its site, to which replies go by mail."""
    return replying.publish(root, mail=MAIL)


@pytest.fixture
def opened(chromium: Any, site: Path) -> Iterator[Opener]:
    """Open a page from its file with the form open; nothing may be asked of any host, nothing complained of."""
    readers: list[Reader] = []

    def open_page(ref: str = QUESTION, width: int = 360, scheme: str = "light") -> Reader:
        reader = Reader(chromium, width, scheme)
        readers.append(reader)
        reader.page.goto((site / f"{ref}.html").as_uri())
        reader.open_form()
        return reader

    yield open_page
    for one in readers:
        assert one.abroad() == []
        assert one.complaints == []
        one.close()


def test_the_form_is_where_it_is_asked_for(site: Path) -> None:
    """Questions, hypotheses, notes, calculations and decisions ask for replies; other entries and lists do not."""
    with_form = {
        path.relative_to(site).parts[0]
        for path in site.rglob("*.html")
        if 'class="wl-reply"' in path.read_text(encoding="utf-8")
    }
    assert with_form == {"questions", "hypotheses", "evidence", "calculations"}
    for path in site.rglob("index.html"):
        assert 'class="wl-reply"' not in path.read_text(encoding="utf-8"), path
    assert 'class="wl-reply"' not in (site / "sources" / "owner.html").read_text(encoding="utf-8")


@pytest.mark.parametrize(("width", "scheme"), [(360, "light"), (1600, "dark")])
def test_a_reply_by_keyboard_alone_from_a_file(chromium: Any, site: Path, width: int, scheme: str) -> None:
    """Without a mouse, from a file: chosen, written, weighed, saved, and taken by the reader of files."""
    reader = Reader(chromium, width, scheme)
    page = reader.page
    page.goto((site / f"{QUESTION}.html").as_uri())
    page.locator(".wl-reply-open").focus()
    page.keyboard.press("Enter")
    page.keyboard.press("Space")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Tab")
    page.keyboard.type("I counted again: *thirty-two*.")
    page.keyboard.press("Tab")
    page.keyboard.press("Space")
    page.keyboard.press("Tab")
    for _ in range(7):
        page.keyboard.press("ArrowRight")
    shown = reader.points()
    for _ in range(6):
        page.keyboard.press("Tab")
    page.keyboard.type("Ana Ω")
    page.keyboard.press("Tab")
    page.keyboard.press("ArrowUp")
    page.keyboard.press("Tab")
    page.keyboard.press("Space")
    page.keyboard.press("Tab")
    page.keyboard.type("ana@reader.example")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Save as a file"
    assert not reader.overflows()
    with page.expect_download() as download:
        page.keyboard.press("Enter")
    assert download.value.suggested_filename == f"reply-{reader.reply()['id'][:8]}.json"
    document, wrong = reply_of(Path(download.value.path()).read_bytes())
    assert wrong == []
    assert document is not None
    assert (document.about, document.stance, document.text) == (QUESTION, "doubt", "I counted again: *thirty-two*.")
    assert (document.name, document.credit, document.consent) == ("Ana Ω", "named", True)
    assert document.contact == "ana@reader.example"
    assert document.edition is not None
    assert document.edition.number == 1
    assert list(document.confidences) == RIVALS
    assert [round(100 * share) for share in document.confidences.values()] == shown
    assert shown[0] == 34 + 7
    assert sum(shown) == 100
    assert not reader.overflows()
    assert reader.abroad() == []
    assert reader.complaints == []
    reader.close()


def test_confidences_may_be_left_out(opened: Opener) -> None:
    """Whoever gives no confidences sends none; a note that bears on one question asks for them, too."""
    reader = opened()
    reader.fill()
    assert reader.reply()["confidences"] == {}
    note = opened(NOTE)
    note.page.check("text=Say how probable")
    assert list(note.reply()["confidences"]) == RIVALS


def test_the_others_share_out_what_one_takes_and_held_ones_stay(opened: Opener) -> None:
    """Moving one slider moves the others and not those held; the sum stays a hundred, and so what is sent is one."""
    reader = opened()
    reader.page.check("text=Say how probable")
    sliders = reader.page.locator(".wl-reply-rival input[type=range]")
    sliders.nth(0).fill("60")
    assert reader.points() == [60, 20, 20]
    reader.page.get_by_label("Hold:").nth(0).check()
    sliders.nth(1).fill("30")
    assert reader.points() == [60, 30, 10]
    sliders.nth(1).fill("90")
    assert reader.points() == [60, 40, 0]
    assert sliders.nth(0).is_disabled()
    sliders.nth(2).fill("10")
    assert reader.points() == [60, 30, 10]
    assert sum(reader.reply()["confidences"].values()) == pytest.approx(1, abs=1e-12)


def test_what_is_wrong_stands_beside_its_field(opened: Opener) -> None:
    """Nothing is saved while anything is wrong; all of it is told at once, and the first field has the focus."""
    reader = opened()
    page = reader.page
    page.check("text=Credit me by this name")
    page.click("text=Save as a file")
    told = page.locator(".wl-reply-fault:visible").all_inner_texts()
    assert [
        any(words in one for one in told) for words in ("expected one of these", "some words", "a name to credit")
    ] == [True] * 3
    assert "3 things are to be mended." in told
    assert page.evaluate("document.activeElement.name") == "stance"
    assert page.locator(".wl-reply-way").is_hidden()
    reader.fill(text="x" * 20_001)
    page.fill("label:has-text('Name, or nothing') + input", "\u202egnp")
    page.click("text=Save as a file")
    told = page.locator(".wl-reply-fault:visible").all_inner_texts()
    assert any("Shorten it by 1." in one for one in told)
    assert any("\\u202egnp" in one for one in told)
    assert page.locator("[aria-invalid]").count() == 2


def test_a_mail_carries_the_reply_or_says_what_to_attach(opened: Opener) -> None:
    """A short reply stands in the mail and is read from it; of a long one the mail says which file to attach."""
    reader = opened()
    reader.fill(text="Ω & “quoted” = 100 %\n\n> and more")
    reader.saved()
    href = reader.page.get_attribute(".wl-reply-way a", "href")
    assert href is not None
    assert href.startswith(f"mailto:{MAIL}?")
    parts = parse_qs(urlsplit(href).query)
    folder = Path(reader.saved()).parent / "by-mail.eml"
    folder.write_bytes(
        b"From: reader@reader.example\r\nSubject: a reply\r\nContent-Type: text/plain; charset=utf-8\r\n\r\n"
        + parts["body"][0].encode()
    )
    taken = gathered([folder])
    assert taken.faults == ()
    assert [one.document.text for one in taken.replies] == ["Ω & “quoted” = 100 %\n\n> and more"]
    reader.page.fill(".wl-reply textarea:not([readonly])", "long " * 1_000)
    saved = reader.saved()
    href = reader.page.get_attribute(".wl-reply-way a", "href")
    assert href is not None
    assert len(href) < 1_800
    name = f"reply-{reader.reply()['id'][:8]}.json"
    assert f"attach the file {name}" in unquote(href)
    assert gathered([saved]).faults == ()


def test_a_reply_can_be_copied(opened: Opener) -> None:
    """Where nothing else works, the reply stands in a field to copy, or in the clipboard."""
    reader = opened()
    reader.fill()
    reader.saved()
    reader.page.evaluate("() => { navigator.clipboard.writeText = () => Promise.reject(new Error('not here')) }")
    reader.page.click("text=Copy the reply")
    whole = reader.page.locator("textarea[readonly]")
    whole.wait_for(state="visible")
    assert json.loads(whole.input_value()) == reader.reply()


def test_a_draft_is_kept_until_it_is_discarded(opened: Opener) -> None:
    """What was written stands there again after the page was closed, with its id; discarded, it is gone."""
    reader = opened()
    page = reader.page
    reader.fill(text="Half a thought")
    page.check("text=Say how probable")
    page.locator(".wl-reply-rival input[type=range]").nth(1).fill("70")
    before = reader.reply()
    page.wait_for_timeout(500)
    page.reload()
    assert page.inner_text(".wl-reply-open") == "Go on with what you wrote"
    reader.open_form()
    assert reader.reply() == before
    page.click("text=Discard")
    page.reload()
    assert page.inner_text(".wl-reply-open") == "Write a reply"
    reader.open_form()
    assert reader.reply()["text"] == ""
    assert reader.reply()["id"] != before["id"]


@pytest.mark.parametrize(
    "kept", ["null", "[]", "7", '"x"', "{", '{"points": "all", "text": 7, "id": "../x", "numbers": 3}']
)
def test_a_damaged_draft_does_no_harm(opened: Opener, kept: str) -> None:
    """Whatever stands in the browser's store under the draft's name, the form opens and a reply is made."""
    reader = opened()
    reader.page.evaluate("kept => localStorage.setItem(`witness-reply ${location.pathname}`, kept)", kept)
    reader.page.reload()
    reader.open_form()
    reader.fill()
    assert reply_of(reader.saved().read_bytes())[1] == []


def test_it_works_where_the_browser_keeps_nothing(chromium: Any, site: Path) -> None:
    """With storage forbidden a reply is written and saved all the same."""
    reader = Reader(chromium)
    reader.context.add_init_script(
        "for (const name of ['localStorage', 'sessionStorage'])"
        " Object.defineProperty(window, name, { get() { throw new DOMException('no', 'SecurityError') } })"
    )
    reader.page.goto((site / f"{NOTE}.html").as_uri())
    reader.open_form()
    reader.fill()
    assert reply_of(reader.saved().read_bytes())[1] == []
    reader.close()


def test_numbers_tried_in_the_live_calculator_are_attached(opened: Opener) -> None:
    """What a reader set otherwise goes with the reply, and with one to the question if the reader wants it; no more."""
    reader = opened(CALCULATION)
    page = reader.page
    assert reader.reply()["inputs"] == {}
    page.click(".wl-live-open")
    page.wait_for_function("() => /draws\\.|doubt here/.test(document.querySelector('.wl-live-said')?.textContent)")
    assert reader.reply()["inputs"] == {}
    page.locator(".wl-live-table input").nth(4).fill("5..8 mm")
    page.wait_for_selector("text=Attach your numbers")
    attached = reader.reply()["inputs"]
    assert attached == {CALCULATION: {"layout-2-length": "5..8 mm"}}
    reader.fill()
    assert reply_of(reader.saved().read_bytes())[1] == []
    page.goto(page.url.replace(CALCULATION, QUESTION))
    reader.open_form()
    assert reader.reply()["inputs"] == {}
    page.check("text=Attach your numbers")
    assert reader.reply()["inputs"] == attached


def test_only_pages_with_a_form_may_send_and_only_to_the_intake() -> None:
    """The policy names the intake where the form is; a body that spells the form's tag opens nothing."""
    form = '<html><head></head><body><div class="wl-reply" data-reply="{}"></div></body></html>'
    spelt = '<html><head></head><body><p>&lt;div class="wl-reply"&gt; &lt;div class="wl-live"&gt;</p></body></html>'
    sends = re.compile("connect-src ([^;]*);")
    for html, intake, allowed in (
        (form, "https://in.example", "'self' https://in.example"),
        (form, None, "'self'"),
        (spelt, "https://in.example", "'self'"),
    ):
        found = sends.search(guarded(html, intake))
        assert found is not None
        assert found[1] == allowed
    assert "unsafe-eval" not in guarded(spelt)


@pytest.mark.parametrize(
    "intake",
    [
        "replies.site.example",
        "ftp://site.example",
        "https://user@site.example",
        "https://site.example/?x=1",
        "https://site.example; script-src *",
        "https://site.example' *",
        'https://site.example/"><script>',
        "https://site.example:99999",
        "https://",
        7,
    ],
)
def test_a_wrong_intake_is_refused(intake: object) -> None:
    """An address that could be read as anything else is told with its place in the configuration."""
    with pytest.raises(FaultsFound) as refused:
        destination(intake, "no address")
    assert [one.field for one in refused.value.faults] == [
        "plugins.witness.replies.intake",
        "plugins.witness.replies.mail",
    ]
    assert all(one.remedy for one in refused.value.faults)


@pytest.mark.parametrize("intake", ["https://in.example", "http://127.0.0.1:8001/", "https://site.example/replies/in"])
def test_a_right_intake_is_taken(intake: str) -> None:
    """Addresses with a port or a path are taken, without their last slash; the origin is what pages may send to."""
    where = destination(intake, MAIL)
    assert where.intake == intake.rstrip("/")
    assert where.origin is not None
    assert intake.startswith(where.origin)


def test_a_wrong_configuration_builds_nothing(tmp_path: Path) -> None:
    """The build stops with the fault's words, before any page is written."""
    root = replying.lay_out(tmp_path / "case")
    with pytest.raises(WitnessError, match=r"plugins\.witness\.replies\.mail"):
        replying.publish(root, mail="nobody")
    assert not (root / "build").exists()
