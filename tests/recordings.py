"""Recordings made of a known truth: an engine that changes up, with noise, gear whine and a changing distance."""

from __future__ import annotations

import io
from dataclasses import dataclass

import numpy as np
from scipy.io import wavfile

SOUND = 340.0


@dataclass(frozen=True)
class Upshift:
    """A change up: when the fall begins [s], ratio step, how long it falls [s], its softness, 0 (straight) to 1."""

    time: float
    ratio: float
    gap: float
    soft: float = 0.0


@dataclass(frozen=True)
class Drive:
    """What is heard.

    start          firing order at the beginning [Hz]
    rate           relative rate of gaining speed in the first gear heard [1/s]; it falls with each gear by the step
    fading         by what share that rate falls in one second
    kept           share of the rate kept in a gap
    harmonics      amplitudes of the multiples of the firing order, itself first
    quieter        amplitude in the gap over that outside
    whine          amplitude of the tooth mesh; `mesh` its order over the firing order, of the engine's shaft
    noise          standard deviation of the noise; all over the amplitude of the firing order
    passing        (speed [m/s], least distance [m], time of it [s]) of a vehicle that goes by, or None on board
    """

    start: float
    upshifts: tuple[Upshift, ...]
    duration: float
    rate: float = 0.15
    fading: float = 0.2
    kept: float = 0.3
    harmonics: tuple[float, ...] = (1.0, 0.6, 0.3)
    quieter: float = 0.5
    whine: float = 0.0
    mesh: float = 1.35
    noise: float = 0.0
    passing: tuple[float, float, float] | None = None
    seed: int = 1


def engine_line(drive: Drive, times: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the firing order at the engine [Hz] and its level at times that step evenly."""
    step = times[1] - times[0]
    rate = np.full(times.size, drive.rate) * np.exp(-drive.fading * times)
    geared, level = np.zeros(times.size), np.ones(times.size)
    for shift in drive.upshifts:
        inside = np.clip((times - shift.time) / shift.gap, 0, 1)
        rate = np.where(inside >= 1, rate / shift.ratio, np.where(inside > 0, rate * drive.kept, rate))
        level = np.where((inside > 0) & (inside < 1), drive.quieter, level)
    speed = np.exp(np.cumsum(rate) * step)
    line = drive.start * speed
    for shift in drive.upshifts:
        u = np.clip((times - shift.time) / shift.gap, 0, 1)
        fallen = (1 - shift.soft) * u + shift.soft * (1 - np.cos(np.pi * u)) / 2
        # Between the two ends of the gap the engine's own speed falls as the shape says, whatever the vehicle does.
        first, last = (np.interp(at, times, speed) for at in (shift.time, shift.time + shift.gap))
        ratio = np.where(
            (u > 0) & (u < 1),
            (first + (last / shift.ratio - first) * fallen) / speed,
            np.where(u >= 1, 1 / shift.ratio, 1),
        )
        geared = geared + np.log(ratio)
    return line * np.exp(geared), level


def sound(drive: Drive, rate: int = 16_000) -> np.ndarray:
    """Return samples between -1 and 1."""
    times = np.arange(int(drive.duration * rate)) / rate
    random = np.random.default_rng(drive.seed)
    line, level = engine_line(drive, times)
    if drive.passing is None:
        heard, louder = times, np.ones(times.size)
    else:
        speed, least, nearest = drive.passing
        away = np.hypot(least, speed * (times - nearest))
        # What is heard at t was sounded at s with s + away(s)/c = t, less the first delay.
        heard = np.interp(times, times + (away - away[0]) / SOUND, times)
        louder = least / np.interp(heard, times, away)
    phase = np.interp(heard, times, 2 * np.pi * np.cumsum(line) / rate)
    strength = np.interp(heard, times, level) * louder
    made = np.zeros(times.size)
    for number, amplitude in enumerate(drive.harmonics, 1):
        made += amplitude * np.cos(number * phase + random.uniform(0, 2 * np.pi))
    made += drive.whine * np.cos(drive.mesh * phase + random.uniform(0, 2 * np.pi))
    made = made * strength + drive.noise * random.standard_normal(times.size)
    return made / (1.05 * np.abs(made).max())


def wav(samples: np.ndarray, rate: int = 16_000, bits: int = 16, channels: int = 1) -> bytes:
    """Return WAV bytes of 8, 16, 24 or 32 bits."""
    if bits == 24:
        return _wav24(samples, rate, channels)
    scaled = {8: lambda x: np.round(x * 127 + 128).astype(np.uint8), 16: lambda x: np.round(x * 32767).astype(np.int16),
              32: lambda x: np.round(x * (2**31 - 1)).astype(np.int32)}[bits](samples)  # fmt: skip
    held = io.BytesIO()
    wavfile.write(held, rate, np.repeat(scaled[:, None], channels, axis=1) if channels > 1 else scaled)
    return held.getvalue()


def _wav24(samples: np.ndarray, rate: int, channels: int) -> bytes:
    whole = np.repeat(np.round(samples * (2**23 - 1)).astype("<i4")[:, None], channels, axis=1)
    body = whole.view(np.uint8).reshape(-1, 4)[:, :3].tobytes()
    one = np.dtype("<u4").type
    head = b"fmt " + one(16).tobytes() + np.array([1, channels], "<u2").tobytes()
    head += np.array([rate, rate * channels * 3], "<u4").tobytes() + np.array([channels * 3, 24], "<u2").tobytes()
    data = head + b"data" + one(len(body)).tobytes() + body
    return b"RIFF" + one(len(data) + 4).tobytes() + b"WAVE" + data
