"""How often one address may send: a bucket of tokens each, and addresses known only by a digest that dies with the run.

Of IPv6 the first 64 bits count: a household has all the rest to itself.
"""

from __future__ import annotations

import hmac
import secrets
from collections import OrderedDict
from collections.abc import Iterable, Sequence
from hashlib import sha256
from ipaddress import IPv4Address, IPv6Address, ip_address

from starlette.datastructures import Headers
from starlette.types import Scope

from ledger.replies.intake.settings import Network

MOST_ADDRESSES = 50_000
Address = IPv4Address | IPv6Address
HOP = "x-forwarded-for"


class Limiter:
    """A bucket of `burst` tokens for each address, filled again at `hourly` an hour."""

    def __init__(self, burst: int, hourly: float) -> None:
        self.burst = float(burst)
        self.rate = hourly / 3600.0
        self._secret = secrets.token_bytes(32)
        self._buckets: OrderedDict[bytes, tuple[float, float]] = OrderedDict()

    def wait(self, address: str, now: float) -> float:
        """Take a token and return 0, or return the seconds until there is one; the clock `now` never goes back."""
        key = self._key(address)
        tokens, then = self._buckets.pop(key, (self.burst, now))
        tokens = min(self.burst, tokens + (now - then) * self.rate)
        granted = tokens >= 1.0
        self._buckets[key] = (tokens - granted, now)
        while len(self._buckets) > MOST_ADDRESSES:
            self._buckets.popitem(last=False)
        return 0.0 if granted else (1.0 - tokens) / self.rate

    def _key(self, address: str) -> bytes:
        return hmac.new(self._secret, _network(address).encode(), sha256).digest()[:16]


def address_of(scope: Scope, trusted: Sequence[Network], unix: bool) -> str:
    """Return the address that a call comes from.

    X-Forwarded-For is believed as far as trusted proxies wrote it: from the right, up to the first that is not one.
    """
    client = scope.get("client")
    here = _address(client[0]) if client else None
    if not (unix if here is None else _within(here, trusted)):
        return str(here)
    lines = Headers(scope=scope).getlist(HOP)
    for hop in reversed([one.strip() for line in lines for one in line.split(",")]):
        there = _address(hop)
        if there is None:
            break
        here = there
        if not _within(there, trusted):
            break
    return str(here)


def _address(text: str) -> Address | None:
    try:
        found = ip_address(text)
    except ValueError:
        return None
    return found.ipv4_mapped or found if isinstance(found, IPv6Address) else found


def _within(address: Address, networks: Iterable[Network]) -> bool:
    return any(address in network for network in networks)


def _network(address: str) -> str:
    found = _address(address)
    return str(int(found) >> 64) if isinstance(found, IPv6Address) else address
