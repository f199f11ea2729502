"""Where a site's replies go: to an intake, by mail, or into a file that the reader sends as they like."""

from __future__ import annotations

import re
from dataclasses import dataclass
from urllib.parse import urlsplit

from ledger.errors import Fault, FaultsFound

CONFIGURATION = "site/mkdocs.yml"
# What could end an address inside a content security policy or inside HTML is in no host and no path of ours.
ADDRESS = re.compile(
    r"https?://[A-Za-z0-9.\-]+(?::[0-9]{1,5})?(?:/[A-Za-z0-9._~\-]+)*/?|https?://\[[0-9A-Fa-f:]+\](?::[0-9]{1,5})?/?"
)
MAIL = re.compile(r"[A-Za-z0-9.+_\-]{1,64}@[A-Za-z0-9\-]+(?:\.[A-Za-z0-9\-]+)+")


@dataclass(frozen=True)
class Destination:
    """Where replies go.

    intake  the intake's address without a slash at the end, or None where there is none
    mail    the mail address that reply files are sent to, or None
    """

    intake: str | None = None
    mail: str | None = None

    @property
    def origin(self) -> str | None:
        """Return the intake's origin, which pages with a form may send to."""
        if self.intake is None:
            return None
        parts = urlsplit(self.intake)
        return f"{parts.scheme}://{parts.netloc}"


NOWHERE = Destination()


def destination(intake: object = None, mail: object = None) -> Destination:
    """Return checked settings. Raises FaultsFound with all that is wrong."""
    faults = []
    if intake is not None and not (isinstance(intake, str) and ADDRESS.fullmatch(intake) and _has_port(intake)):
        remedy = "Write scheme, host and path as `witness intake` is reached from outside."
        faults.append(_fault("intake", intake, "an address such as `https://replies.site.example`", remedy))
    if mail is not None and not (isinstance(mail, str) and MAIL.fullmatch(mail)):
        faults.append(_fault("mail", mail, "a mail address such as `replies@site.example`", "Write one plain address."))
    if faults:
        raise FaultsFound(faults)
    return Destination(str(intake).rstrip("/") if intake is not None else None, None if mail is None else str(mail))


def _has_port(address: str) -> bool:
    try:
        port = urlsplit(address).port
    except ValueError:
        return False
    return port is None or port > 0


def _fault(field: str, given: object, expected: str, remedy: str) -> Fault:
    return Fault(CONFIGURATION, 0, f"plugins.witness.replies.{field}", f"`{str(given)[:80]}`", expected, remedy)
