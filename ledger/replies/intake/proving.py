"""Proof of work: a reader's browser computes for about a second, and whoever sends a million replies for a week.

A challenge is bound to the reply's id, to a time and to the work it asks for, and signed, so that the intake need not
remember it: `bits.expiry.signature`. A nonce answers it if sha256 over `challenge:nonce` begins with that many zero
bits. A proof that is sent again proves nothing but the reply it was made for.
"""

from __future__ import annotations

import hmac
from dataclasses import dataclass
from hashlib import sha256

CHALLENGE = r"^[0-9]{1,2}\.[0-9]{1,12}\.[0-9a-f]{64}$"
NONCE = "^[0-9A-Za-z]{1,32}$"


@dataclass(frozen=True)
class Prover:
    """Makes challenges and judges proofs.

    secret   what challenges are signed with
    bits     leading zero bits asked for
    lasting  seconds for which a challenge holds
    """

    secret: bytes
    bits: int
    lasting: int

    def challenge(self, reply: str, now: float) -> str:
        """Return a challenge for a reply's id."""
        return self._signed(reply, self.bits, int(now) + self.lasting)

    def wrong(self, reply: str, challenge: str, nonce: str, now: float) -> str:
        """Return why a proof does not hold, or nothing."""
        bits, expiry, _ = challenge.split(".")
        if not hmac.compare_digest(challenge, self._signed(reply, int(bits), int(expiry))):
            return "The challenge was not made here for this reply."
        if int(expiry) < now:
            return "The challenge is too old."
        if int(bits) < self.bits:
            return "The challenge asks for less work than is asked for now."
        if not proves(challenge, nonce):
            return f"The nonce does not give {bits} leading zero bits."
        return ""

    def _signed(self, reply: str, bits: int, expiry: int) -> str:
        said = f"{bits}.{expiry}"
        return f"{said}.{hmac.new(self.secret, f'{said}.{reply}'.encode(), sha256).hexdigest()}"


def proves(challenge: str, nonce: str) -> bool:
    """Return whether a nonce answers a challenge."""
    bits = int(challenge.partition(".")[0])
    return int.from_bytes(sha256(f"{challenge}:{nonce}".encode()).digest()) >> (256 - bits) == 0
