"""A recording seen: its envelope and its spectrogram between two times and two frequencies.

Rows lie evenly in the logarithm of frequency, so that a step of ratio is as high anywhere. Windows are as long as blurs
time and frequency alike on the screen, and hold some cycles at least; of lengths only powers of two are computed, and a
row lies between the two next to its own. Where a column is longer than its windows, some pieces of it are drawn, evenly
spread.
"""

from __future__ import annotations

import base64
import io
from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from scipy.fft import rfft
from scipy.signal.windows import hann

from ledger.bench.asking import Part
from ledger.bench.listening import AT_A_TIME, LOWEST, Heard, hear
from ledger.bench.telling import Told
from ledger.errors import PhotoRefused

Array = NDArray[np.float64]
Levels = NDArray[np.float32]

# What is drawn at most, and at least [px]; the shortest time shown [s] and the least ratio of frequencies.
MOST_COLUMNS, MOST_ROWS, LEAST = 2_400, 800, 16
NARROWEST, LEAST_RATIO = 0.01, 1.05
# Windows [s], at least so many cycles in one; pieces of a column at most; samples transformed for one picture, about.
SHORTEST, LONGEST, CYCLES = 0.008, 0.25, 8.0
MOST_PIECES, MOST_SAMPLES = 4, 24_000_000
# So many windows to the length of one show all that it tells.
OVERLAPPING = 8
# Samples of the envelope at most: of longer stretches every second, third … is taken.
MOST_ENVELOPE = 20_000_000
# From the loudest down to what is drawn black [dB], and the share of the whole picture that is darkest.
DEEPEST, DARKEST = 80.0, 0.3
# The whole picture by which levels are set [columns, rows].
ROUGHLY = 240, 200
SILENT = 1e-7
# Slate, petrol, brass, paper: each lighter than the one before.
COLOURS = ((12, 18, 20), (18, 58, 68), (44, 113, 128), (217, 150, 70), (255, 244, 214))


def about_recording(root: Path, name: str) -> Told:
    """Return what the page must know of a recording to lay out its axes."""
    heard = hear(root, name)
    return {
        "file": name,
        "medium": "recording",
        "duration": heard.duration,
        "rate": heard.rate,
        "channels": heard.channels,
        "lowest": LOWEST,
        "highest": heard.highest,
    }


def spectrogram(root: Path, part: Part) -> Told:
    """Return a part of a recording to be drawn, held to what there is and to what is drawn at most.

    picture       a PNG, as base64: the highest frequency above
    lows, highs   the envelope by columns, in thousandths of full scale
    start, end, low, high   what was drawn [s], [Hz]
    whole         whether all of the sound is in it, or pieces of each column
    """
    heard = hear(root, part.file)
    held = _held(heard, part)
    stamp = heard.path.stat()
    dark, bright = _range(root, part.file, stamp.st_mtime_ns, stamp.st_size)
    levels, whole = _levels(heard, held)
    shades = np.clip((levels - dark) / (bright - dark) * 255, 0, 255).astype(np.uint8)
    image = Image.fromarray(shades, "P")
    image.putpalette(_palette())
    out = io.BytesIO()
    image.save(out, "PNG", compress_level=1)
    lows, highs = _envelope(heard, held)
    return {
        "picture": base64.b64encode(out.getvalue()).decode(),
        "start": held.start,
        "end": held.end,
        "low": held.low,
        "high": held.high,
        "lows": np.round(1000 * lows).astype(int).tolist(),
        "highs": np.round(1000 * highs).astype(int).tolist(),
        "whole": whole,
    }


def _held(heard: Heard, part: Part) -> Part:
    start, end = max(part.start, 0.0), min(part.end, heard.duration)
    low, high = max(part.low, LOWEST), min(part.high, heard.highest)
    if not (end - start >= NARROWEST and high / low >= LEAST_RATIO):
        raise PhotoRefused(
            f"part: given {part.start:g} to {part.end:g} s and {part.low:g} to {part.high:g} Hz; expected a part of "
            f"0 to {heard.duration:.2f} s and {LOWEST:g} to {heard.highest:g} Hz. Show the whole."
        )
    columns = min(max(part.columns, LEAST), MOST_COLUMNS)
    rows = min(max(part.rows, LEAST), MOST_ROWS)
    return Part(file=part.file, start=start, end=end, low=low, high=high, columns=columns, rows=rows)


@lru_cache(maxsize=8)
def _range(root: Path, name: str, changed: int, size: int) -> tuple[float, float]:
    """Return the levels drawn darkest and brightest [dB], the same for all parts of a recording."""
    heard = hear(root, name)
    columns, rows = ROUGHLY
    whole = Part(file=name, start=0.0, end=heard.duration, low=LOWEST, high=heard.highest, columns=columns, rows=rows)
    levels, _ = _levels(heard, whole, 0)
    bright = float(levels.max())
    return max(float(np.quantile(levels, DARKEST)), bright - DEEPEST), bright + 1e-3


def _levels(heard: Heard, part: Part, most: int = MOST_SAMPLES) -> tuple[Levels, bool]:
    """Return the level of each place [dB], shape (rows, columns), and whether all of the sound went into it."""
    step = np.log(part.high / part.low) / part.rows
    frequencies = part.high * np.exp(-step * (np.arange(part.rows) + 0.5))
    column = (part.end - part.start) / part.columns
    # On the screen a window blurs time by itself and frequency by about two over itself.
    lengths = np.sqrt(2 * column / (frequencies * step))
    lengths = np.clip(np.maximum(lengths, CYCLES / frequencies), SHORTEST, LONGEST)
    powers = np.log2(lengths * heard.rate)
    below = np.floor(powers).astype(int)
    used = [int(one) for one in np.unique([below, below + 1])]
    shortest = 2 ** used[0]
    pieces = min(int(np.ceil(column * heard.rate / shortest)), MOST_PIECES)
    pieces = max(1, min(pieces, most // (part.columns * sum(2**one for one in used))))
    levels = np.zeros((part.rows, part.columns), dtype=np.float32)
    for power in used:
        share = np.maximum(1 - np.abs(powers - power), 0).astype(np.float32)
        rows = share > 0
        if rows.any():
            levels[rows] += share[rows, None] * _rows(heard, part, 2**power, pieces, frequencies[rows], step)
    return levels, bool(pieces * shortest >= column * heard.rate)


def _rows(heard: Heard, part: Part, size: int, pieces: int, frequencies: Array, step: float) -> Levels:
    """Return the level of some rows [dB], shape (rows, columns), by windows of one size."""
    span = part.end - part.start
    enough = int(np.ceil(OVERLAPPING * span * heard.rate / size)) + 2
    if enough >= part.columns:
        count = part.columns * pieces
        times = part.start + (np.arange(count) + 0.5) * span / count
        power = _power(heard, times, size, frequencies, step)
        return _decibels(power.reshape(frequencies.size, part.columns, pieces).mean(axis=2))
    # Windows that overlap so far change little from one to the next: what lies between them is drawn between them.
    levels = _decibels(_power(heard, np.linspace(part.start, part.end, enough), size, frequencies, step))
    places = (np.arange(part.columns) + 0.5) / part.columns * (enough - 1)
    before = places.astype(int)
    share = (places - before).astype(np.float32)
    return np.asarray(levels[:, before] * (1 - share) + levels[:, before + 1] * share)


def _power(heard: Heard, times: Array, size: int, frequencies: Array, step: float) -> Levels:
    """Return the power of a tone at frequencies and times, shape (frequencies, times), over one at full scale."""
    window = hann(size, sym=False).astype(np.float32)
    window /= window.sum() / 2
    finest = frequencies.min() * step
    padded = int(min(max(size, 2 ** np.ceil(np.log2(heard.rate / finest))), 4 * size))
    edges = np.stack([frequencies * np.exp(-step / 2), frequencies * np.exp(step / 2)]) * padded / heard.rate
    middles = frequencies * padded / heard.rate
    firsts = np.round(times * heard.rate).astype(np.intp) - size // 2
    power = np.empty((frequencies.size, times.size), dtype=np.float32)
    block = max(AT_A_TIME // padded, 1)
    for first in range(0, times.size, block):
        pieces = heard.pieces(firsts[first : first + block], size)
        spectra = np.abs(rfft(pieces * window, padded, axis=1)) ** 2
        power[:, first : first + block] = _read(spectra, edges, middles).T
    return power


def _decibels(power: Levels) -> Levels:
    return np.asarray(10 * np.log10(np.maximum(power, SILENT**2)), dtype=np.float32)


def _read(spectra: Levels, edges: Array, middles: Array) -> Levels:
    """Return the power of rows, shape (pieces, rows): straight between bins, or the greatest bin that lies in a row."""
    last = spectra.shape[1] - 1
    below = np.clip(np.floor(middles).astype(int), 0, last - 1)
    share = np.clip(middles - below, 0, 1).astype(np.float32)
    read = spectra[:, below] * (1 - share) + spectra[:, below + 1] * share
    firsts = np.clip(np.ceil(edges[0]).astype(int), 0, last)
    lasts = np.clip(np.floor(edges[1]).astype(int), 0, last)
    for row in np.flatnonzero(lasts > firsts):
        read[:, row] = spectra[:, firsts[row] : lasts[row] + 1].max(axis=1)
    return np.asarray(read, dtype=np.float32)


def _envelope(heard: Heard, part: Part) -> tuple[Levels, Levels]:
    """Return least and greatest samples by columns, over full scale."""
    bounds = np.linspace(part.start, part.end, part.columns + 1) * heard.rate
    edges = np.clip(np.round(bounds).astype(np.intp), 0, heard.frames)
    stride = int(np.ceil((edges[-1] - edges[0]) / MOST_ENVELOPE))
    lows, highs = np.zeros(part.columns, dtype=np.float32), np.zeros(part.columns, dtype=np.float32)
    at_once = max(1, int(AT_A_TIME * part.columns / max(edges[-1] - edges[0], 1)))
    for first in range(0, part.columns, at_once):
        held = edges[first : first + at_once + 1]
        samples = heard.stretch(int(held[0]), int(max(held[-1], held[0] + 1)), stride)
        starts = np.minimum((held[:-1] - held[0] + stride - 1) // stride, samples.size - 1)
        lows[first : first + at_once] = np.minimum.reduceat(samples, starts)
        highs[first : first + at_once] = np.maximum.reduceat(samples, starts)
    return lows, highs


def _palette() -> list[int]:
    at = np.linspace(0, len(COLOURS) - 1, 256)
    bands = [np.interp(at, range(len(COLOURS)), band) for band in zip(*COLOURS, strict=True)]
    return [int(value) for value in np.round(np.stack(bands, axis=1)).ravel()]
