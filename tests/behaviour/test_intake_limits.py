"""Who counts as one sender: addresses behind proxies that are trusted, and those that only say they are behind one."""

from __future__ import annotations

from typing import Any

import pytest

from ledger.replies.intake import limiting
from ledger.replies.intake.limiting import Limiter, address_of
from ledger.replies.intake.settings import settings
from tests.intakes import ORIGIN


def scope(client: str | None, *forwarded: str) -> dict[str, Any]:
    """A call from an address, with X-Forwarded-For lines."""
    headers = [(b"x-forwarded-for", line.encode()) for line in forwarded]
    return {"type": "http", "client": None if client is None else (client, 1), "headers": headers}


@pytest.mark.parametrize(
    ("client", "forwarded", "trusted", "address"),
    [
        ("203.0.113.1", (), (), "203.0.113.1"),
        ("203.0.113.1", ("198.51.100.7",), (), "203.0.113.1"),
        ("203.0.113.1", ("198.51.100.7",), ("127.0.0.1",), "203.0.113.1"),
        ("127.0.0.1", ("198.51.100.7",), ("127.0.0.1",), "198.51.100.7"),
        ("127.0.0.1", ("1.1.1.1, 198.51.100.7",), ("127.0.0.1",), "198.51.100.7"),
        ("127.0.0.1", ("1.1.1.1", "198.51.100.7, 10.0.0.4"), ("127.0.0.1", "10.0.0.0/8"), "198.51.100.7"),
        ("127.0.0.1", ("10.0.0.9, 10.0.0.4",), ("127.0.0.1", "10.0.0.0/8"), "10.0.0.9"),
        ("127.0.0.1", ("198.51.100.7, rubbish",), ("127.0.0.1",), "127.0.0.1"),
        ("127.0.0.1", ("", ","), ("127.0.0.1",), "127.0.0.1"),
        ("::ffff:127.0.0.1", ("2001:db8::1",), ("127.0.0.1",), "2001:db8::1"),
        (None, ("198.51.100.7",), ("unix",), "198.51.100.7"),
        (None, ("198.51.100.7",), (), "None"),
    ],
)
def test_a_forwarded_address_is_believed_only_from_proxies_that_are_trusted(
    client: str | None, forwarded: tuple[str, ...], trusted: tuple[str, ...], address: str
) -> None:
    """From the right, hop by hop, up to the first that is no trusted proxy: what a sender puts in front is nothing."""
    made = settings("x", ORIGIN, proxies=trusted)  # type: ignore[arg-type]
    assert address_of(scope(client, *forwarded), made.trusted, made.unix) == address


def test_a_bucket_fills_again_and_not_beyond_its_brim() -> None:
    """So many at once; then one whenever a token came in; after any time not more than at first."""
    one = Limiter(3, 3_600.0)
    assert [one.wait("203.0.113.1", 0.0) for _ in range(3)] == [0.0] * 3
    assert one.wait("203.0.113.1", 0.0) == pytest.approx(1.0)
    assert one.wait("203.0.113.1", 0.25) == pytest.approx(0.75)
    assert one.wait("203.0.113.1", 1.0) == 0.0
    assert [one.wait("203.0.113.1", 1e6) > 0 for _ in range(4)] == [False, False, False, True]


def test_a_household_is_one_sender() -> None:
    """Of IPv6 the first half counts; neighbours have buckets of their own, and so has every IPv4 address."""
    one = Limiter(1, 1.0)
    assert one.wait("2001:db8:1:2::1", 0.0) == 0.0
    assert one.wait("2001:db8:1:2:ffff::9", 0.0) > 0.0
    assert one.wait("2001:db8:1:3::1", 0.0) == 0.0
    assert one.wait("203.0.113.1", 0.0) == 0.0
    assert one.wait("203.0.113.2", 0.0) == 0.0


def test_addresses_are_not_remembered_as_such(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is held is a digest under a secret of the run; and only of so many, the longest silent let go first."""
    monkeypatch.setattr(limiting, "MOST_ADDRESSES", 3)
    one, other = Limiter(1, 1.0), Limiter(1, 1.0)
    for address in ("203.0.113.1", "203.0.113.2", "203.0.113.1", "203.0.113.3", "203.0.113.4"):
        one.wait(address, 0.0)
    other.wait("203.0.113.1", 0.0)
    assert len(one._buckets) == 3
    assert one.wait("203.0.113.1", 0.0) > 0.0
    assert not set(one._buckets) & set(other._buckets)
    assert "203.0.113" not in repr(vars(one))
