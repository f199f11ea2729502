"""Replies sent from the built site to a running intake, and fetched from it: what the page made is what is kept."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest

from ledger.replies.intake.proving import proves
from ledger.replies.received import received
from tests import replying
from tests.intakes import HOST, TOKEN, Intake, free_port
from tests.replying import NOTE, QUESTION, Reader

Run = Callable[..., tuple[int, str, str]]


@dataclass
class Place:
    """A site that is served, its intake, and the investigation both belong to."""

    root: Path
    site: Path
    origin: str
    intake: Intake

    @property
    def address(self) -> str:
        """Return the intake's address."""
        return f"http://{HOST}:{self.intake.port}"


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Place]:
    """A site whose replies go to an intake that runs."""
    root = replying.lay_out(tmp_path_factory.mktemp("sending") / "case")
    port, own = free_port(), free_port()
    site = replying.publish(root, intake=f"http://{HOST}:{port}/", mail=replying.MAIL)
    origin = f"http://{HOST}:{own}"
    intake = Intake(root.parent / "intake.sqlite", port, ("--no-log", "--origin", origin))
    intake.start()
    with replying.served(site, own):
        yield Place(root, site, origin, intake)
    if intake.process is not None and intake.process.poll() is None:
        intake.kill()


@pytest.fixture
def visit(chromium: Any, place: Place) -> Iterator[Callable[..., Reader]]:
    """Open a page of the served site with its form open; nothing is asked of anybody but the site and its intake."""
    readers: list[Reader] = []

    def open_page(ref: str = QUESTION, width: int = 360) -> Reader:
        reader = Reader(chromium, width)
        readers.append(reader)
        reader.page.goto(f"{place.origin}/{ref}.html")
        reader.open_form()
        return reader

    yield open_page
    for one in readers:
        assert one.abroad(place.origin, place.address) == []
        one.close()


def fetched(place: Place, run: Run, monkeypatch: pytest.MonkeyPatch) -> dict[str, Any]:
    """Fetch from the intake by the command, and return what is received by id."""
    monkeypatch.setenv("WITNESS_INTAKE_TOKEN", TOKEN)
    code, _, complained = run("replies", "fetch", place.address, "--in", place.root)
    assert code == 0, complained
    with received(place.root) as store:
        found = [store.find(row.id) for row in store.listed()]
    return {one.id: one.document.model_dump() for one in found if one.document is not None}


@pytest.mark.parametrize("width", [360, 1600])
def test_what_the_page_makes_is_what_is_fetched(
    visit: Callable[..., Reader], place: Place, run: Run, monkeypatch: pytest.MonkeyPatch, width: int
) -> None:
    """Sent from Chromium to the intake, fetched by the command: the same document, every field of it; then thanks."""
    reader = visit(width=width)
    page = reader.page
    reader.fill("new-evidence", f"Seen at {width} px: **bright** “edges” \U0001f9ed\n\n- one\n- two")
    page.check("text=Say how probable")
    page.locator(".wl-reply-rival input[type=range]").nth(1).fill("71")
    page.fill("label:has-text('Name, or nothing') + input", "Ana Ω")
    page.check("text=Credit me by this name")
    page.check("text=My words may be published")
    made = reader.reply()
    page.click("button:text-is('Send')")
    page.wait_for_selector("text=Thank you.")
    assert made["id"] in page.inner_text(".wl-reply-way")
    assert page.locator(".wl-reply-form").count() == 0
    assert page.evaluate("Object.keys(localStorage).filter(key => key.startsWith('witness-reply'))") == []
    assert reader.complaints == []
    assert not reader.overflows()
    kept = fetched(place, run, monkeypatch)[made["id"]]
    assert kept == json.loads(json.dumps(made))


def test_an_id_that_is_taken_is_changed_and_told(visit: Callable[..., Reader], place: Place) -> None:
    """Another reply under an id that is taken is refused in words; pressed again, it goes under an id of its own."""
    first = visit()
    first.fill(text="The first")
    used = first.reply()["id"]
    first.page.click("button:text-is('Send')")
    first.page.wait_for_selector("text=Thank you.")
    second = visit()
    second.fill(text="Another one")
    second.page.evaluate("id => { witnessReply.section.form.id = id }", used)
    second.page.click("button:text-is('Send')")
    second.page.wait_for_selector("text=It has an id of its own now")
    assert second.reply()["id"] != used
    second.page.click("button:text-is('Send')")
    second.page.wait_for_selector("text=Thank you.")


def test_what_the_intake_refuses_stands_beside_its_field(visit: Callable[..., Reader]) -> None:
    """Should a page let something through, the intake's own words are shown where they belong."""
    reader = visit()
    reader.fill()
    reader.page.evaluate("() => { witnessReply.section.form.wrongs = () => [] }")
    reader.page.fill("label:has-text('Name, or nothing') + input", "x\u202ey")
    reader.page.click("button:text-is('Send')")
    reader.page.wait_for_selector("text=It was not sent.")
    told = reader.page.locator(".wl-reply-fault:visible").all_inner_texts()
    assert any("expected one line of words" in one for one in told)
    assert reader.page.locator(".wl-reply-way").is_visible()


def test_without_an_answer_the_file_is_offered_and_the_draft_stays(chromium: Any, place: Place) -> None:
    """An intake that is gone is told in words, with the mail and the file as other ways; nothing written is lost."""
    reader = Reader(chromium)
    page = reader.page
    page.route(f"{place.address}/**", lambda route: route.abort())
    page.goto(f"{place.origin}/{NOTE}.html")
    reader.open_form()
    reader.fill(text="Not lost")
    page.click("button:text-is('Send')")
    page.wait_for_selector("text=The intake cannot be reached from here.")
    assert page.get_attribute(".wl-reply-way a", "href").startswith(f"mailto:{replying.MAIL}")
    with page.expect_download() as download:
        page.click("text=Save as a file")
    assert json.loads(Path(download.value.path()).read_text(encoding="utf-8"))["text"] == "Not lost"
    page.reload()
    reader.open_form()
    assert reader.reply()["text"] == "Not lost"
    reader.close()


@pytest.mark.parametrize(
    ("status", "body", "words"),
    [
        (429, {"error": "That is too many at once from there. Try again in 20 s.", "faults": []}, "Try again in 20 s."),
        (503, {"error": "The intake is full. Send the reply by another way.", "faults": []}, "The intake is full."),
        (500, "<html>Bad gateway</html>", "The intake answered with 500 and no words."),
        (200, {"other": 1}, "no intake of this kind"),
        (200, [1], "no intake of this kind"),
        (200, {"challenge": "16.1.ab", "bits": 99}, "more work than a page can do"),
        (200, {"challenge": "16.1.ab", "bits": "many"}, "more work than a page can do"),
        (400, {"error": 7, "faults": [{"field": 1}, None]}, "It answered with 400."),
    ],
)
def test_strange_answers_are_told(chromium: Any, place: Place, status: int, body: Any, words: str) -> None:
    """Whatever answers at the intake's address, the reader is told in words and can send again."""
    reader = Reader(chromium)
    page = reader.page
    text = body if isinstance(body, str) else json.dumps(body)
    headers = {"Access-Control-Allow-Origin": place.origin, "Content-Type": "application/json"}
    page.route(f"{place.address}/**", lambda route: route.fulfill(status=status, body=text, headers=headers))
    page.goto(f"{place.origin}/{NOTE}.html")
    reader.open_form()
    reader.fill()
    page.click("button:text-is('Send')")
    page.wait_for_selector(f"text={words}")
    assert page.locator("button:has-text('Send')").is_enabled()
    reader.close()


def test_from_a_file_a_reply_is_saved_even_where_there_is_an_intake(chromium: Any, place: Place) -> None:
    """A page opened by double click has no origin that the intake takes replies from: it saves, and sends nothing."""
    reader = Reader(chromium)
    reader.page.goto((place.site / f"{QUESTION}.html").as_uri())
    reader.open_form()
    assert reader.page.locator("button:has-text('Send')").count() == 0
    reader.fill()
    assert json.loads(reader.saved().read_text(encoding="utf-8")) == reader.reply()
    assert reader.abroad() == []
    assert reader.complaints == []
    reader.close()


def test_the_work_holds_before_the_intake_and_can_be_stopped(visit: Callable[..., Reader]) -> None:
    """A number found in the page answers the challenge; endless work lets the page live and ends when stopped."""
    page = visit().page
    for bits, challenge in ((0, "0.1.ab"), (7, f"7.1893456.{'c' * 64}"), (13, f"13.999999999999.{'0a' * 32}")):
        nonce = page.evaluate(
            "([challenge, bits]) => witnessReply.prove(challenge, bits, () => {}, new AbortController().signal)",
            [challenge, bits],
        )
        assert proves(challenge, nonce)
        hashed = int.from_bytes(sha256(f"{challenge}:{nonce}".encode()).digest())
        assert hashed >> (256 - bits) == 0
    stopped = page.evaluate(
        """async () => {
          const stopping = new AbortController()
          let alive = 0, shares = []
          const timer = setInterval(() => { if ((alive += 1) === 5) stopping.abort() }, 1)
          let how = "ended"
          try { await witnessReply.prove("30.1.ab", 30, share => shares.push(share), stopping.signal) }
          catch (error) { how = error.constructor.name }
          clearInterval(timer)
          return [how, alive, shares.length > 0 && shares.every(one => one >= 0 && one < 1)]
        }"""
    )
    assert stopped == ["Stopped", 5, True]


def test_sending_can_be_stopped_by_its_button(chromium: Any, place: Place) -> None:
    """While it works there is a button to stop; stopped, nothing was sent and everything stands as it was written."""
    reader = Reader(chromium)
    page = reader.page
    headers = {"Access-Control-Allow-Origin": place.origin, "Content-Type": "application/json"}
    answer = json.dumps({"challenge": "30.1.ab", "bits": 30, "seconds": 60})
    page.route(f"{place.address}/challenge*", lambda route: route.fulfill(status=200, body=answer, headers=headers))
    page.goto(f"{place.origin}/{NOTE}.html")
    reader.open_form()
    reader.fill(text="Stay")
    page.click("button:text-is('Send')")
    page.wait_for_function("() => document.querySelector('.wl-reply progress').value > 0")
    page.click("button:has-text('Stop')")
    page.wait_for_selector("text=Stopped. Nothing was sent.")
    assert reader.reply()["text"] == "Stay"
    assert not [one for one in reader.asked if one.endswith("/replies")]
    reader.close()


@pytest.mark.parametrize("text", ["", "abc", "a" * 55, "a" * 56, "a" * 63, "a" * 64, "a" * 119, "ж\U0001f9ed" * 300])
def test_digests_are_those_of_hashlib(visit: Callable[..., Reader], text: str) -> None:
    """Around the ends of blocks and beyond ASCII the page's digest is hashlib's."""
    assert visit().page.evaluate("text => witnessReply.sha256(text)", text) == sha256(text.encode()).hexdigest()
