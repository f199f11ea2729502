"""The line of a tone that a measurement listens to, to be drawn over the recording."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from ledger.bench.asking import Picks
from ledger.bench.listening import Heard, hear
from ledger.bench.measuring import stated
from ledger.bench.telling import Told
from ledger.errors import PhotoRefused
from ledger.photo.held import read_known, wrongs
from ledger.photo.recording import Recording
from ledger.photo.ridge import follow
from ledger.quantities.notation import Quantity

# How much more is read on either side, so that the ends are whole, and what is followed at most [s].
BESIDE, LONGEST = 0.5, 60.0
LOWEST, WIDEST, NARROWEST = 10.0, 40.0, 1.1


def followed(root: Path, picks: Picks) -> Told:
    """Return the line that stands out most in the span and band of picks, as [time [s], frequency [Hz]] each 10 ms.

    Empty where picks do not say enough, or no line stands out: measuring says what is wrong.
    """
    try:
        one = stated(root, picks)
        if isinstance(one, list) or one.method.medium != "recording":
            return {"line": []}
        if wrongs(one.method, one.points, one.known, one.lens, one.size, one.doubt):
            return {"line": []}
        band = read_known(one.method, one.points, one.known)["band"]
        assert isinstance(band, Quantity)
        start, end = one.points["heard"][0]
        return {"line": _line(hear(root, picks.file), (start, end), band.to("Hz").support, one.points.get("guide", []))}
    except PhotoRefused:
        return {"line": []}


def _line(
    heard: Heard, span: tuple[float, float], band: tuple[float, float], guide: list[list[float]]
) -> list[list[float]]:
    start, end = max(span[0], 0.0), min(span[1], heard.duration)
    low, high = band
    if not (0.1 < end - start <= LONGEST and low >= LOWEST and NARROWEST * low <= high <= WIDEST * low):
        return []
    if high > 0.4 * heard.rate or not all(low <= frequency <= high for _, frequency in guide):
        return []
    first = int(max(start - BESIDE, 0.0) * heard.rate)
    samples = heard.stretch(first, min(int((end + BESIDE) * heard.rate), heard.frames)).astype(float)
    began = first / heard.rate
    ridge = follow(
        Recording(heard.rate, samples - samples.mean()),
        band,
        (start - began, end - began),
        [(time - began, frequency) for time, frequency in guide],
    )
    line = np.stack([np.round(ridge.times + began, 4), np.round(ridge.frequencies, 2)], axis=1)
    return [[float(time), float(frequency)] for time, frequency in line]
