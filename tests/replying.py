"""A small investigation published with the reply form, opened from files or from a server on this machine."""

from __future__ import annotations

import functools
import http.server
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from ledger.casebook.opening import open_casebook
from ledger.cli.place import Place
from ledger.cli.posting import post_and_report
from ledger.cli.recording import start
from ledger.press import build

QUESTION, NOTE, CALCULATION = "questions/return", "evidence/ping", "calculations/coil-fits"
MAIL = "replies@site.example"
OPTIONS = "      ledger: ../witness.sqlite\n"


def lay_out(folder: Path) -> Path:
    """Start and post the investigation that the command lays out, and return its folder."""
    start(folder, "What returns the latch?", "the author")
    post_and_report(Place(folder), quiet=True)
    return folder


def publish(root: Path, intake: str | None = None, mail: str | None = None) -> Path:
    """Build its site with replies set up so, and return the site's folder."""
    configuration = root / "site" / "mkdocs.yml"
    text = configuration.read_text(encoding="utf-8").split("      replies:\n")[0]
    if "extra:" not in text:
        text += "\nextra:\n  generator: false\n"
    said = {name: value for name, value in (("intake", intake), ("mail", mail)) if value is not None}
    lines = "".join(f"        {name}: {value}\n" for name, value in said.items())
    configuration.write_text(text.replace(OPTIONS, OPTIONS + (f"      replies:\n{lines}" if lines else "")), "utf-8")
    return build(configuration, open_casebook(root, root / "witness.sqlite", numbering=True))


@contextmanager
def served(site: Path, port: int = 0) -> Iterator[str]:
    """Serve a folder and give its origin."""

    class Quiet(http.server.SimpleHTTPRequestHandler):
        def log_message(self, *words: object) -> None:
            """Say nothing."""

    server = http.server.ThreadingHTTPServer(("127.0.0.1", port), functools.partial(Quiet, directory=str(site)))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield f"http://127.0.0.1:{server.server_address[1]}"
    finally:
        server.shutdown()
        server.server_close()


class Reader:
    """A reader's browser: what it asked for, what it complained of, and whether anything in a page was run."""

    def __init__(self, chromium: Any, width: int = 360, scheme: str = "light") -> None:
        self.context = chromium.new_context(
            viewport={"width": width, "height": 800}, color_scheme=scheme, accept_downloads=True
        )
        self.context.add_init_script(
            "for (const name of ['alert', 'confirm', 'prompt', 'open']) window[name] = () => { window.wasRun = true }"
        )
        self.page = self.context.new_page()
        self.page.set_default_timeout(20_000)
        self.asked: list[str] = []
        self.complaints: list[str] = []
        self.dialogs: list[str] = []
        self.context.on("request", lambda request: self.asked.append(request.url))
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))
        self.page.on(
            "console", lambda said: self.complaints.append(said.text) if said.type in ("error", "warning") else None
        )
        self.page.on("dialog", self._dismiss)

    def _dismiss(self, dialog: Any) -> None:
        self.dialogs.append(dialog.message)
        dialog.dismiss()

    def abroad(self, *allowed: str) -> list[str]:
        """Return addresses asked for that are neither files nor begin with one that is allowed."""
        return [one for one in self.asked if not one.startswith(("file:", "blob:", "data:", *allowed))]

    def was_run(self) -> bool:
        """Return whether anything of the page called what the strings of the corpus call."""
        return bool(self.page.evaluate("window.wasRun === true")) or bool(self.dialogs)

    def overflows(self) -> bool:
        """Return whether the page is wider than its window."""
        wide, window = self.page.evaluate(
            "[document.scrollingElement.scrollWidth, document.scrollingElement.clientWidth]"
        )
        return bool(wide > window)

    def open_form(self) -> None:
        """Press the button that opens the form."""
        self.page.click(".wl-reply-open")
        self.page.wait_for_selector(".wl-reply-form")

    def fill(self, stance: str = "doubt", text: str = "I counted again.", **more: str) -> None:
        """Fill in what a reply needs at least, and fields by label."""
        self.page.check(f"input[value={stance}]")
        self.page.fill(".wl-reply textarea:not([readonly])", text)
        for label, value in more.items():
            self.page.fill(f"label:has-text('{label}') + input", value)

    def saved(self) -> Path:
        """Press the button that saves a file, and return the file."""
        with self.page.expect_download() as download:
            self.page.click("text=Save as a file")
        return Path(download.value.path())

    def reply(self) -> Any:
        """Return the document as the form makes it."""
        return self.page.evaluate("witnessReply.section.form.reply")

    def points(self) -> list[int]:
        """Return what stands beside the sliders."""
        words: Sequence[str] = self.page.locator(".wl-reply-rival output").all_inner_texts()
        return [int(one.removesuffix(" %")) for one in words]

    def close(self) -> None:
        """Close the window."""
        self.context.close()
