"""Recordings made fit to publish: a WAV with its sound and how it is stored, and nothing else.

A WAV is RIFF: a head of 12 bytes, then chunks, each of four letters, a size of 32 bits, little-endian, its bytes, and
one more where their number is odd. Who recorded it, when and where stands in chunks of their own (`LIST`, `bext`,
`iXML`, `id3 `), which no player needs. Multimedia Programming Interface and Data Specifications 1.0 (1991), Resource
Interchange File Format and WAVE Form Definition; the longest form of `fmt ` has 40 bytes; from memory.
"""

from __future__ import annotations

from pathlib import Path

from ledger.errors import PhotoRefused

MOST_BYTES = 100_000_000
KEPT = (b"fmt ", b"fact", b"data")
LONGEST_FORM = 40
_MEND = "Export it anew as PCM WAV of 16 bits, mono or stereo."


def plain_wav(given: bytes | Path, name: str) -> bytes:
    """Return a WAV with its form and its samples as they are, and none of its other chunks.

    PhotoRefused, naming the file, for what is no whole WAV of at most 100 MB.
    """
    data = given if isinstance(given, bytes) else _read(given, name)
    if len(data) > MOST_BYTES:
        raise PhotoRefused(f"{name}: given {len(data) / 1e6:.0f} MB; expected at most 100 MB. Cut it to what is meant.")
    if data[:4] != b"RIFF" or data[8:12] != b"WAVE":
        raise PhotoRefused(f"{name}: given bytes that are no WAV; expected one. {_MEND}")
    kept: dict[bytes, bytes] = {}
    at = 12
    while at + 8 <= len(data) and b"data" not in kept:
        kind, size = data[at : at + 4], int.from_bytes(data[at + 4 : at + 8], "little")
        if at + 8 + size > len(data):
            raise PhotoRefused(
                f"{name}: given a WAV that ends before its header says; expected a whole one. Copy it again. {_MEND}"
            )
        if kind in KEPT:
            kept.setdefault(kind, data[at + 8 : at + 8 + size])
        at += 8 + size + size % 2
    if b"data" not in kept or not 16 <= len(kept.get(b"fmt ", b"")) <= LONGEST_FORM:
        raise PhotoRefused(f"{name}: given a WAV without its form or its samples; expected both. {_MEND}")
    body = b"".join(
        kind + len(kept[kind]).to_bytes(4, "little") + kept[kind] + b"\0" * (len(kept[kind]) % 2)
        for kind in KEPT
        if kind in kept
    )
    return b"RIFF" + (4 + len(body)).to_bytes(4, "little") + b"WAVE" + body


def _read(path: Path, name: str) -> bytes:
    try:
        if path.stat().st_size > MOST_BYTES:
            size = path.stat().st_size / 1e6
            raise PhotoRefused(f"{name}: given {size:.0f} MB; expected at most 100 MB. Cut it to what is meant.")
        return path.read_bytes()
    except OSError as error:
        told = (error.strerror or "an error").lower()
        raise PhotoRefused(
            f"{name}: given a file that cannot be read ({told}); expected a WAV. Mend its name or permissions."
        ) from error
