"""Received replies on the bench: decided on as by the commands, guarded like the rest, and never run."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from ledger.bench.serving import bench
from ledger.replies.received import Incoming, received
from ledger.replies.taking import checked
from tests import replying
from tests.benches import Seen
from tests.hostile import NAMES, TEXTS
from tests.intakes import reply

TOKEN, PORT = "a-token-of-the-test", 8124
HERE = f"http://127.0.0.1:{PORT}"
SHARES = {"hypotheses/coil-spring": 0.3, "hypotheses/leaf-spring": 0.6, "none-of-these": 0.1}
Run = Callable[..., tuple[int, str, str]]
COULD_RUN = """[...document.querySelectorAll('.published *')].filter(one =>
    /^(script|style|iframe|object|embed|svg|form|input|link|base|meta)$/i.test(one.tagName)
    || [...one.attributes].some(it => /^on|^style$/i.test(it.name)
        || /^\\s*(javascript|data|vbscript|file):/i.test(it.value))
).map(one => one.outerHTML)"""


def receive(root: Path, *replies: dict[str, Any]) -> list[str]:
    """Receive replies and return their ids."""
    documents = [checked(one)[0] for one in replies]
    assert None not in documents
    with received(root) as store:
        store.take(Incoming(one, "2031-06-01", "a test") for one in documents if one is not None)
    return [one["id"] for one in replies]


def about(number: int, **changes: Any) -> dict[str, Any]:
    """A reply to the investigation."""
    return reply(number, **{"about": replying.NOTE, "confidences": SHARES, **changes})


def files(root: Path) -> dict[str, bytes]:
    """Every entry file and draft."""
    return {
        one.relative_to(root).as_posix(): one.read_bytes()
        for folder in ("entries", "drafts")
        for one in (root / folder).rglob("*.md")
    }


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """A posted investigation."""
    return replying.lay_out(tmp_path / "case")


@pytest.fixture
def client(root: Path) -> Iterator[TestClient]:
    """The bench's own page, so to say."""
    with TestClient(bench(root, TOKEN, PORT), base_url=f"{HERE}/{TOKEN}/") as made:
        yield made


def test_those_that_wait_come_first(root: Path, client: TestClient) -> None:
    """The list has every reply, the ones to decide on first, the latest of them first."""
    one, two, three = receive(root, about(1), about(2), about(3))
    client.post("decide", json={"id": two, "state": "declined", "reason": "Said before."})
    listed = client.get("received").json()
    assert [row["id"] for row in listed["replies"]] == [three, one, two]
    assert listed["waiting"] == 2
    assert listed["replies"][2]["state"] == "declined"


def test_accepting_writes_what_the_command_writes(root: Path, client: TestClient, tmp_path: Path, run: Run) -> None:
    """The same reply accepted on the bench and by the command gives the same files, and nothing is posted."""
    other = replying.lay_out(tmp_path / "other")
    given = about(7, stance="new-evidence", name="Ana", text="I saw a bright edge.")
    (name,) = receive(root, given)
    receive(other, given)
    before = files(root)
    answer = client.post("accept", json={"id": name, "purpose": "evidence"})
    assert answer.status_code == 200, answer.text
    assert run("replies", "accept", name, "--in", other)[0] == 0
    assert files(root) == files(other)
    assert set(answer.json()["written"]) == set(files(root)) - set(before)
    assert client.get("reply", params={"id": name}).json()["state"] == "accepted"
    again = client.post("accept", json={"id": name})
    assert again.status_code == 422
    assert "accepted" in again.json()["wrong"][0]["given"]


def test_declining_and_asking_take_words(root: Path, client: TestClient) -> None:
    """Without words nothing is decided; asked, the reader's address is told; accepted ones are decided already."""
    one, two = receive(root, about(1, contact="ana@reader.example"), about(2))
    refused = client.post("decide", json={"id": one, "state": "declined", "reason": "  "})
    assert refused.status_code == 422
    assert [fault["field"] for fault in refused.json()["wrong"]] == ["reason"]
    told = client.post("decide", json={"id": one, "state": "asked", "reason": "Which edge?"}).json()["told"]
    assert "Write to ana@reader.example." in told
    assert client.get("reply", params={"id": one}).json()["reason"] == "Which edge?"
    assert client.post("accept", json={"id": two}).status_code == 200
    assert client.post("decide", json={"id": two, "state": "declined", "reason": "No."}).status_code == 422


@pytest.mark.parametrize(
    ("path", "given"),
    [
        ("decide", {"id": "", "state": "declined", "reason": "x"}),
        ("decide", {"id": "a" * 37, "state": "declined", "reason": "x"}),
        ("decide", {"id": "a", "state": "accepted", "reason": "x"}),
        ("decide", {"id": "a", "state": "declined"}),
        ("accept", {"id": "a", "purpose": "decision"}),
        ("accept", {"id": "a", "root": "/"}),
        ("accept", []),
        ("accept", {"id": "ffffffff"}),
    ],
)
def test_what_no_page_sends_is_refused(root: Path, client: TestClient, path: str, given: Any) -> None:
    """Anything but what the page sends is told as wrong, and changes nothing."""
    receive(root, about(1))
    before = files(root)
    answer = client.post(path, json=given)
    assert answer.status_code == 422
    assert answer.json()["wrong"]
    assert files(root) == before
    assert client.get("received").json()["waiting"] == 1


def test_pages_of_other_sites_decide_nothing(root: Path, client: TestClient) -> None:
    """The bench's guard stands before the replies, too: no token, another origin, another kind of content."""
    (name,) = receive(root, about(1))
    for headers in ({"Origin": "https://evil.example"}, {"Sec-Fetch-Site": "cross-site"}):
        assert client.post("accept", json={"id": name}, headers=headers).status_code == 403
        assert client.get("received", headers=headers).status_code == 403
    assert client.post(f"{HERE}/wrong/accept", json={"id": name}).status_code == 403
    assert (
        client.post("accept", content=f'{{"id": "{name}"}}', headers={"Content-Type": "text/plain"}).status_code == 415
    )
    assert client.get("received").json()["waiting"] == 1


def test_pools_stand_beside_the_ledger(root: Path, client: TestClient) -> None:
    """Only accepted and posted replies count; the pools are the mean and the geometric mean."""
    from ledger.cli.place import Place
    from ledger.cli.posting import post_and_report

    turned = {"hypotheses/coil-spring": 0.6, "hypotheses/leaf-spring": 0.3, "none-of-these": 0.1}
    names = receive(root, about(1, name="A"), about(2, name="B", confidences=turned))
    assert client.get("pools").json() == {"pools": []}
    for name in names:
        client.post("accept", json={"id": name, "purpose": "reply"})
    assert client.get("pools").json() == {"pools": []}
    post_and_report(Place(root), quiet=True)
    (pool,) = client.get("pools").json()["pools"]
    assert pool["people"] == 2
    linear = {row["rival"]: row["linear"] for row in pool["rows"]}
    logarithmic = {row["rival"]: row["logarithmic"] for row in pool["rows"]}
    assert sorted(linear.values()) == pytest.approx([0.1, 0.45, 0.45])
    root_of = 0.18**0.5
    assert sorted(logarithmic.values()) == pytest.approx(
        [0.1 / (0.1 + 2 * root_of), *[root_of / (0.1 + 2 * root_of)] * 2]
    )
    assert sum(row["ledger"] for row in pool["rows"]) == pytest.approx(1)


@pytest.mark.parametrize("width", [360, 1600])
def test_a_reply_is_accepted_and_another_declined_by_keyboard(
    chromium: Any, root: Path, address: str, width: int
) -> None:
    """In the browser, without a mouse: open, decline with a reason; open, accept; what was written is told."""
    first, second = receive(root, about(1, text="One **bold** word."), about(2, text="Two."))
    seen = Seen(chromium, f"{address}replies", viewport={"width": width, "height": 850})
    page = seen.page
    page.locator(f"[data-id='{first}']").focus()
    page.keyboard.press("Enter")
    page.wait_for_selector(".published strong:text-is('bold')")
    page.locator("summary:text-is('As it was sent')").focus()
    page.keyboard.press("Enter")
    page.wait_for_selector("pre:has-text('One **bold** word.')")
    page.locator("fieldset:has(legend:text-is('Decline')) textarea").focus()
    page.keyboard.type("It was said before.")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.wait_for_selector("text=Declined. It can still be accepted.")
    assert "2 received, 1 to decide on." in page.inner_text("#waiting")
    page.locator(f"[data-id='{second}']").focus()
    page.keyboard.press("Enter")
    page.wait_for_selector(".published:has-text('Two.')")
    page.get_by_label("As", exact=True).select_option("reply")
    page.locator("fieldset:has(legend:text-is('Accept')) button").focus()
    page.keyboard.press("Enter")
    page.wait_for_selector("text=Accepted; written: entries/replies/")
    assert page.evaluate("document.scrollingElement.scrollWidth <= document.scrollingElement.clientWidth")
    assert len([path for path in files(root) if path.startswith("entries/replies/")]) == 1
    assert seen.complaints == []
    assert seen.strangers == []
    seen.context.close()


def test_nothing_of_the_corpus_runs_on_the_bench(chromium: Any, root: Path, address: str) -> None:
    """Every text and name of the corpus, listed and opened: nothing runs, complains or asks anybody else."""
    given = [about(number, text=text, confidences={}) for number, text in enumerate(TEXTS, 1)]
    given += [about(1_000 + number, name=name, contact=name, confidences={}) for number, name in enumerate(NAMES)]
    ids = receive(root, *given)
    seen = Seen(chromium, f"{address}replies")
    dialogs: list[str] = []
    seen.page.on("dialog", lambda one: (dialogs.append(one.message), one.dismiss()))
    assert seen.page.locator("#list button").count() == len(ids)
    for name in ids:
        seen.page.evaluate("id => document.querySelector(`[data-id='${id}']`).click()", name)
        seen.page.wait_for_function("id => document.querySelector('#one')?.textContent.includes(id)", arg=name)
        assert seen.page.evaluate(COULD_RUN) == []
    assert dialogs == []
    assert seen.complaints == []
    assert seen.strangers == []
    seen.context.close()


def test_a_reply_is_shown_as_the_site_will_show_it(chromium: Any, root: Path, address: str) -> None:
    """Markdown as on its page; where a link leads stands beside it, and one to an entry leads nowhere from here."""
    text = "## So\n\n[Here](https://\u0435xample.example/) and [there](evidence/ping), *not* [so](javascript:alert(1))."
    (name,) = receive(root, about(1, text=text))
    seen = Seen(chromium, f"{address}replies")
    seen.page.click(f"[data-id='{name}']")
    shown = seen.page.locator(".published")
    assert shown.locator("h4").inner_text() == "So"
    assert "(https://xn--xample-2of.example/)" in shown.inner_text()
    assert "(evidence/ping on the site)" in shown.inner_text()
    assert shown.locator("a[href]").count() == 1
    assert shown.locator("a[href]").get_attribute("target") == "_blank"
    assert seen.complaints == []
    seen.context.close()


def test_the_bench_s_policy_stands_behind_the_sanitiser(chromium: Any, root: Path, address: str) -> None:
    """Were the text not made safe, the page's own policy would still keep it from running; and the search finds it."""
    (name,) = receive(root, about(1))
    seen = Seen(chromium, f"{address}replies")

    def unsafe(route: Any) -> None:
        said = route.fetch().json()
        route.fulfill(json={**said, "html": "<img src=x onerror=\"document.title = 'run'\">"}, headers={})

    seen.page.route("**/reply?id=*", unsafe)
    seen.page.click(f"[data-id='{name}']")
    seen.page.wait_for_selector(".published img", state="attached")
    assert seen.page.evaluate(COULD_RUN) != []
    assert any("Content Security Policy" in one for one in seen.complaints)
    assert seen.page.title() == "Replies"
    seen.context.close()
