"""Replies fetched from an intake: from its store, where that is at hand, or from its export."""

from __future__ import annotations

import http.client
import json
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NoReturn
from urllib.parse import urlsplit

from ledger.errors import Fault, StoreRefused, WitnessError
from ledger.replies.document import is_day
from ledger.replies.intake.keeping import exported, fetched_until
from ledger.replies.received import Incoming, Received
from ledger.replies.strictly import loads
from ledger.replies.taking import checked
from ledger.replies.telling import faults_of

LINES = 500
MOST_BYTES = 64_000_000
SECONDS = 60.0
HERE = ("127.0.0.1", "::1", "localhost")


@dataclass(frozen=True)
class Page:
    """Some replies of an intake, in order: the mark of its store, the number of the last, and what is wrong.

    sound  up to which number all could be read: what could not is asked for again the next time
    """

    store: str
    last: int
    sound: int
    replies: tuple[Incoming, ...]
    faults: tuple[Fault, ...]


def fetched(place: str, token: str | None, received: Received, *, anew: bool = False) -> Iterator[Page]:
    """Yield pages of the replies that were not fetched yet; a page without replies and faults is the last.

    Whoever asks for the next page has kept this one: the intake is told, and may delete it in time.

    place  the path of an intake's store, or the address of an intake, which takes the token
    anew   from the first that it still has, as after a store was put back from a backup

    Raises WitnessError where it cannot be reached or does not answer as an intake does.
    """
    if "://" in place:
        yield from _from_export(_checked(place), token, received, anew)
    else:
        yield from _from_store(Path(place), received, anew)


def _from_store(path: Path, received: Received, anew: bool) -> Iterator[Page]:
    mark, _ = exported(path, 0, 1)
    after = sound = 0 if anew else received.after(mark)
    while True:
        _, lines = exported(path, after, LINES)
        read = ((one.seq, one.received, json.loads(one.document)) for one in lines)
        page = _page(mark, after, sound, str(path), read)
        yield page
        if not lines:
            break
        after, sound = page.last, page.sound
    # A copy, or a store that may only be read, is not told: then nothing is deleted there.
    with suppress(StoreRefused):
        fetched_until(path, received.after(mark))


def _from_export(address: str, token: str | None, received: Received, anew: bool) -> Iterator[Page]:
    if not token:
        raise WitnessError("The export takes the intake's token: give `--token-file` or set WITNESS_INTAKE_TOKEN.")
    mark, _ = _asked(address, token, 0, 1)
    after = sound = 0 if anew else received.after(mark)
    while True:
        again, content = _asked(address, token, after, LINES, received.after(mark))
        if again != mark:
            raise WitnessError(f"{address} changed its store meanwhile. Fetch again.")
        lines = list(_lines(address, content))
        page = _page(mark, after, sound, address, lines)
        yield page
        if not lines:
            return
        if page.last <= after:
            _odd(address, "numbers that do not grow")
        after, sound = page.last, page.sound


def _page(mark: str, after: int, sound: int, place: str, lines: Any) -> Page:
    replies, faults, last, all_sound = [], [], after, sound == after
    for seq, day, data in lines:
        document, wrong = checked(data)
        shown = f"{place}, reply {seq}"
        faults += faults_of(wrong, shown)
        if document is not None:
            replies.append(Incoming(document, day, shown))
        last, all_sound = seq, all_sound and document is not None
        sound = last if all_sound else sound
    return Page(mark, last, sound, tuple(replies), tuple(faults))


def _lines(address: str, content: bytes) -> Iterator[tuple[int, str, Any]]:
    for raw in content.splitlines():
        try:
            said = loads(raw)
            seq, day, data = said["seq"], said["received"], said["reply"]
        except (ValueError, TypeError, KeyError):
            _odd(address, "a line that is no reply")
        if type(seq) is not int or seq < 1 or not is_day(day):
            _odd(address, "a line without number or day")
        yield seq, day, data


class _NoRedirect(urllib.request.HTTPRedirectHandler):
    """The token goes where a person said, and nowhere else."""

    def redirect_request(self, *_: Any) -> None:
        return None


def _opener(address: str) -> urllib.request.OpenerDirector:
    """Return what opens addresses; this computer's own are asked for directly, whatever proxy is set."""
    direct = [urllib.request.ProxyHandler({})] if address.startswith("http:") else []
    return urllib.request.build_opener(_NoRedirect, *direct)


def _asked(address: str, token: str, after: int, limit: int, kept: int = 0) -> tuple[str, bytes]:
    """Return the mark of the store and a page of the export, and say up to which number all is kept here."""
    question = f"after={after}&limit={limit}" + (f"&kept={kept}" if kept else "")
    call = urllib.request.Request(f"{address}/export?{question}", headers={"Authorization": f"Bearer {token}"})
    try:
        with _opener(address).open(call, timeout=SECONDS) as answer:
            content = answer.read(MOST_BYTES + 1)
            mark = answer.headers.get("Intake-Store", "")
    except urllib.error.HTTPError as error:
        with error:
            why = "The token is not this intake's." if error.code == 401 else "Is it the intake's address?"
        raise WitnessError(f"{address} refused with {error.code}. {why}") from error
    except (OSError, http.client.HTTPException) as error:
        reason = getattr(error, "reason", None) or error
        words = f"{address} cannot be reached ({reason}). Is the intake running, and the address right?"
        raise WitnessError(words) from error
    if len(content) > MOST_BYTES:
        _odd(address, f"more than {MOST_BYTES:,} bytes")
    if not (len(mark) == 32 and mark.isalnum() and mark.isascii()):
        _odd(address, "no mark of a store")
    return mark, content


def _checked(address: str) -> str:
    """Return an address without a slash at its end; refuse one at which the token could be overheard."""
    try:
        parts = urlsplit(address)
        host = parts.hostname
    except ValueError:
        host = None
    if host is None or parts.scheme not in ("http", "https") or parts.query or parts.fragment or "@" in parts.netloc:
        raise WitnessError(f"`{address}` is no address of an intake: write `https://site.example/intake`.")
    if parts.scheme == "http" and host not in HERE:
        raise WitnessError(f"{address} would carry the token for all to read: use https.")
    return address.rstrip("/")


def _odd(address: str, what: str) -> NoReturn:
    raise WitnessError(f"{address} answered {what}: it is no intake that this program knows.")
