"""How an intake is set up, from options or from the environment."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from ipaddress import IPv4Network, IPv6Network, ip_network
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from ledger.errors import Fault, FaultsFound

Network = IPv4Network | IPv6Network
LEAST_TOKEN = 24
MOST_BITS = 30


@dataclass(frozen=True)
class Settings:
    """What whoever runs an intake chooses.

    store     the SQLite file that replies are kept in
    origin    the site's origin, `https://site.example`: the only one whose pages may send
    token     what opens /counts and /export; without it both stay closed
    trusted   networks of reverse proxies whose X-Forwarded-For is believed; `unix` for one at a local socket
    bits      how many leading zero bits a proof needs: each doubles the reader's work, 16 take about a second
    lasting   for how many seconds a challenge can be answered
    burst     how many replies an address may send at once, and `hourly` how many an hour after that
    most      how many replies the store takes in all
    days      after how many days a reply that was fetched is deleted; None: never
    """

    store: Path
    origin: str
    token: str | None = None
    trusted: tuple[Network, ...] = ()
    unix: bool = False
    bits: int = 16
    lasting: int = 3600
    burst: int = 8
    hourly: float = 30.0
    most: int = 100_000
    days: int | None = None


def settings(
    store: Path, origin: str, token: str | None = None, proxies: tuple[str, ...] = (), **numbers: Any
) -> Settings:
    """Return checked settings; `proxies` are addresses, networks or `unix`. FaultsFound with all that is wrong."""
    faults = [*_origin_faults(origin), *_token_faults(token)]
    trusted: list[Network] = []
    for proxy in proxies:
        try:
            trusted += [ip_network(proxy, strict=False)] if proxy != "unix" else []
        except ValueError:
            faults.append(_fault("trusted proxy", f"`{proxy}`", "an address, a network, or `unix`", "Write 127.0.0.1."))
    made = Settings(store, origin, token, tuple(trusted), "unix" in proxies, **numbers)
    for name, value, least, most in (
        ("bits", made.bits, 0, MOST_BITS),
        ("seconds of a challenge", made.lasting, 10, 86_400),
        ("burst", made.burst, 1, 1_000_000_000),
        ("replies an hour", made.hourly, 0.01, 1e9),
        ("most replies", made.most, 1, 100_000_000),
        ("days", 1 if made.days is None else made.days, 1, 36_500),
    ):
        if not least <= value <= most:
            faults.append(_fault(name, f"{value:g}", f"from {least:g} to {most:g}", "Change the number."))
    if faults:
        raise FaultsFound(faults)
    return made


def from_environment(environment: Mapping[str, str]) -> Settings:
    """Return settings from WITNESS_INTAKE_STORE, _ORIGIN, _TOKEN, _PROXIES (with commas) and the numbers' names."""

    def said(name: str) -> str | None:
        return environment.get(f"WITNESS_INTAKE_{name}") or None

    faults = [
        _fault(f"WITNESS_INTAKE_{name}", "nothing", example, "Set it in the service's environment.")
        for name, example in (("STORE", "the path of a file"), ("ORIGIN", "`https://site.example`"))
        if said(name) is None
    ]
    numbers: dict[str, Any] = {}
    for name in ("bits", "lasting", "burst", "hourly", "most", "days"):
        given = said(name.upper())
        try:
            numbers |= {} if given is None else {name: float(given) if name == "hourly" else int(given)}
        except ValueError:
            faults.append(_fault(f"WITNESS_INTAKE_{name.upper()}", f"`{given}`", "a number", "Write digits."))
    if faults:
        raise FaultsFound(faults)
    proxies = tuple(one.strip() for one in (said("PROXIES") or "").split(",") if one.strip())
    return settings(Path(said("STORE") or ""), said("ORIGIN") or "", said("TOKEN"), proxies, **numbers)


def _origin_faults(origin: str) -> list[Fault]:
    try:
        parts = urlsplit(origin)
        plain = (
            parts.scheme in ("http", "https") and bool(parts.hostname) and origin == f"{parts.scheme}://{parts.netloc}"
        )
        plain = (
            plain and "@" not in parts.netloc and origin == origin.lower() and (parts.port is None or parts.port > 0)
        )
    except ValueError:
        plain = False
    remedy = "Write scheme and host as browsers do, without a slash at the end."
    return [] if plain else [_fault("origin", f"`{origin}`", "an origin such as `https://site.example`", remedy)]


def _token_faults(token: str | None) -> list[Fault]:
    if token is None or (len(token) >= LEAST_TOKEN and token.isascii() and token.isprintable() and " " not in token):
        return []
    remedy = "Make one with `python3 -c 'import secrets; print(secrets.token_urlsafe(32))'`."
    return [_fault("token", f"{len(token)} signs", f"at least {LEAST_TOKEN} ASCII signs without spaces", remedy)]


def _fault(field: str, given: str, expected: str, remedy: str) -> Fault:
    return Fault("the intake", 0, field, given, expected, remedy)
