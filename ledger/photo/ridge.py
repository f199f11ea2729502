"""The ridge of the firing order: one line followed through the spectrogram, and where it falls."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.signal import ShortTimeFFT, resample_poly
from scipy.signal.windows import hann

from ledger.photo.ellipse import Array
from ledger.photo.recording import Recording
from ledger.photo.values import refuse

# Between frames [s], and the ratio from one frequency of the grid to the next.
HOP, STEP = 0.01, 1.01
# In one frame the line may rise or fall by so many steps; each costs so much of the logarithm of power.
RISE, FALL, COST = 2, 12, 0.15
# A window holds so many cycles at the middle of the band.
CYCLES, SHORTEST, LONGEST = 12.0, 0.05, 0.2
# Frequencies are told to a part of what the window parts; frames worked at one time.
FINER, FRAMES = 8, 2_000
# The ridge must stand this far over the middle of the band's power [dB], at half its frames at least.
LEAST_CONTRAST = 9.0
# A guide holds the line within this ratio.
GUIDED = 1.12


@dataclass(frozen=True, eq=False)
class Ridge:
    """A line through the spectrogram: times [s], frequencies [Hz], and how far it stands out [dB]."""

    times: Array
    frequencies: Array
    contrast: float


def follow(
    recording: Recording,
    band: tuple[float, float],
    span: tuple[float, float],
    guide: Sequence[tuple[float, float]] = (),
) -> Ridge:
    """Return the line that stands out most within a band and a span of time, by dynamic programming.

    The line gains ln(power over the frame's median in the band) frame by frame, may rise by 2 and fall by 12 steps of
    1 % in 10 ms, and pays 0.15 for each step.

    band   lowest and highest frequency it may have [Hz]
    span   first and last time [s]
    guide  (time [s], frequency [Hz]) it passes within 12 %, straight between; for lines that whine drowns

    PhotoRefused where no line stands out.
    Source: Viterbi, IEEE Trans. Inf. Theory 13 (1967), pp. 260-269, for the search.
    """
    times, grid, gain = _gains(recording, band, span)
    if guide:
        at, height = np.array(sorted(guide)).T
        wanted = np.interp(times, at, np.log(height))
        gain = np.where(np.abs(np.log(grid)[None, :] - wanted[:, None]) < np.log(GUIDED), gain, -1e3)
    places = _best_line(gain)
    along = gain[np.arange(times.size), places]
    contrast = float(np.median(along) * 10 / np.log(10))
    if contrast < LEAST_CONTRAST:
        refuse(
            [
                f"recording: given no line that stands out between {band[0]:g} and {band[1]:g} Hz ({contrast:.1f} dB "
                f"over the rest; expected {LEAST_CONTRAST:g}). Choose a narrower band or span about the firing order, "
                "or mark a few points of its line."
            ]
        )
    return Ridge(times, grid[places], contrast)


def falls(ridge: Ridge, least: float) -> list[float]:
    """Return the times at which the line falls by a ratio of `least` or more within about 0.2 s, in order [s]."""
    logs = np.log(ridge.frequencies)
    near, far = round(0.04 / HOP), round(0.2 / HOP)
    count = logs.size
    drop = np.zeros(count)
    for k in range(far // 2, count - far // 2):
        before, after = logs[max(k - far, 0) : max(k - near, 1)], logs[min(k + near, count - 1) : k + far]
        drop[k] = np.median(before) - np.median(after)
    found: list[float] = []
    left = drop.copy()
    while left.max(initial=0.0) > np.log(least):
        best = left.max()
        # The middle of the flat top, not its first frame.
        k = int(np.argmax(left))
        end = k
        while end + 1 < count and left[end + 1] > 0.97 * best:
            end += 1
        middle = (k + end) // 2
        found.append(float(ridge.times[middle]))
        left[max(middle - 2 * far, 0) : middle + 2 * far] = 0
    return sorted(found)


def narrowed(recording: Recording, highest: float) -> tuple[Array, float]:
    """Return samples at a lower rate that still holds twice the highest frequency, and that rate [Hz]."""
    down = max(int(recording.rate // (5 * highest)), 1)
    samples = resample_poly(recording.samples, 1, down) if down > 1 else recording.samples
    return np.asarray(samples), recording.rate / down


def _gains(recording: Recording, band: tuple[float, float], span: tuple[float, float]) -> tuple[Array, Array, Array]:
    samples, rate = narrowed(recording, band[1])
    length = float(np.clip(CYCLES / np.sqrt(band[0] * band[1]), SHORTEST, LONGEST))
    hop = max(round(HOP * rate), 1)
    window = hann(max(round(length * rate), 16), sym=False)
    size = int(2 ** np.ceil(np.log2(FINER * window.size)))
    transform = ShortTimeFFT(window, hop, rate, mfft=size)
    first = int(np.ceil(max(span[0], 0.0) * rate / hop))
    last = int(min(span[1], (samples.size - 1) / rate) * rate / hop)
    grid = band[0] * STEP ** np.arange(int(np.log(band[1] / band[0]) / np.log(STEP)) + 1)
    places = np.clip(grid * size / rate, 0, size // 2 - 1)
    below = places.astype(int)
    share = (places - below)[:, None]
    found = []
    for start in range(first, last + 1, FRAMES):
        power = np.abs(transform.stft(samples, start, min(start + FRAMES, last + 1))) ** 2
        seen = power[below] * (1 - share) + power[below + 1] * share
        floor = np.maximum(np.median(seen, axis=0), 1e-30)
        found.append(np.log(np.maximum(seen / floor, 1e-6)).T)
    gain: Array = np.concatenate(found)
    times: Array = (first + np.arange(gain.shape[0])) * hop / rate
    return times, np.asarray(grid, dtype=float), gain


def _best_line(gain: Array) -> np.ndarray:
    frames, bins = gain.shape
    moves = np.arange(-FALL, RISE + 1)
    cost = COST * np.abs(moves)
    total, came = gain[0].copy(), np.zeros((frames, bins), dtype=np.int16)
    padded = np.full(bins + FALL + RISE, -np.inf)
    # From bin j - move to bin j, for all moves at once.
    windows = np.arange(bins)[:, None] + RISE - moves[None, :]
    for frame in range(1, frames):
        padded[RISE : RISE + bins] = total
        offered = padded[windows] - cost
        best = np.argmax(offered, axis=1)
        came[frame] = moves[best]
        total = offered[np.arange(bins), best] + gain[frame]
    line = np.zeros(frames, dtype=int)
    line[-1] = int(np.argmax(total))
    for frame in range(frames - 1, 0, -1):
        line[frame - 1] = line[frame] - came[frame, line[frame]]
    return line
