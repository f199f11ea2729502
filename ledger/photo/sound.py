"""Ratio steps and torque gaps from the sound of an engine that changes up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ledger.photo.change_fit import LOG_F, LOG_GAP, LOG_Q, RISE_1, RISE_2, SHAPE, SIDE, TIME, draw_change, straightened
from ledger.photo.ellipse import Array
from ledger.photo.recording import Recording
from ledger.photo.ridge import Ridge, falls, follow, narrowed
from ledger.photo.values import Measured, known_faults, measured, refuse, spread
from ledger.quantities.draws import generator
from ledger.quantities.notation import Quantity, parse

# How much of its rate of gaining speed the vehicle keeps in the gap: all of it where the drive never lets go, less than
# nothing where it coasts against air and rolling resistance.
KEPT = parse("-0.2..1")
# Rate at which coming nearer or going away changes the pitch [1/s]: nothing on board.
ON_BOARD = parse("0 1/s")
DRAWS = 4_000
LEAST_STEP, LEAST_SIDE = 1.05, 0.12


@dataclass(frozen=True)
class Change:
    """A change up that was heard.

    time    at which the engine begins to fall [s]
    ratio   ratio step: ratio of the gear left over that of the gear entered [-]
    gap     how long the engine falls [s]: from the end of the line before to the start of the line after
    before, after  frequency of the firing order at the two ends of the gap [Hz]
    """

    time: Measured
    ratio: Measured
    gap: Measured
    before: Measured
    after: Measured


@dataclass(frozen=True)
class Heard:
    """All changes up in a recording that could be measured, in order, and the line they were found on."""

    changes: tuple[Change, ...]
    ridge: Ridge


def hear_changes(
    recording: Recording,
    band: tuple[float, float],
    span: tuple[float, float] | None = None,
    guide: Sequence[tuple[float, float]] = (),
    kept: Quantity = KEPT,
    passing: Quantity = ON_BOARD,
    least: float = LEAST_STEP,
    count: int = DRAWS,
) -> Heard:
    """Return every change up, with the ratio step and the length of the torque gap.

    The line of the firing order is followed through the spectrogram; where it falls by `least` or more, straight and
    slightly bent lines are fitted to the sound of 0.45 s on either side and led on to the ends of the gap (see
    `change_fit`). The vehicle's speed changes little in the gap: step = f₁/f₂ · exp(kept (r₁ - p) g + p g), with r₁ the
    line's relative rise before [1/s] and p the passing.

    A change without gap, where the engine is slowed while it drives, has a gap here all the same: the time that the
    engine falls. Any one order of the engine serves; a tooth mesh of the input shaft does as well.

    How softly the engine falls can hardly be heard, and is part of the doubt: the estimate of a short or faint fall is
    up to an eighth too long where it falls straight, and as much too short where it falls as half a cosine does.

    The step is that of two neighbouring ratios, so a ratio for tooth-pairs follows from one that is known; the gap is
    that of shift-gap.

    band     lowest and highest frequency the firing order has [Hz]: engine speed [1/min]/60 · cylinders/2
    span     first and last time to listen to [s]; the whole recording unless said
    guide    points (time [s], frequency [Hz]) of its line, where another line drowns it
    kept     share of the rate of gaining speed that is kept in the gap, a pure number
    passing  relative rate of change of pitch by a changing distance [1/s]: 0 on board; from a vehicle that goes by,
             minus its speed squared over distance and 340 m/s at the nearest, less before and after
    least    least step that counts, 1.02 to 2

    PhotoRefused for a faulty band, span or guide, no line, and a line without any change up.
    """
    heard = (0.0, recording.duration) if span is None else span
    _refuse(recording, band, heard, guide, kept, passing, least)
    ridge = follow(recording, band, heard, guide)
    times = falls(ridge, least)
    samples, rate = narrowed(recording, band[1])
    changes: list[Change] = []
    for place, time in enumerate(times):
        start = max(time - SIDE, heard[0], 0.5 * (times[place - 1] + time) if place else heard[0])
        last = 0.5 * (times[place + 1] + time) if place + 1 < len(times) else heard[1]
        end = min(time + SIDE, last, recording.duration)
        if min(time - start, end - time) < LEAST_SIDE:
            continue
        random = generator("change", f"{time:.3f}", str(recording.rate), str(recording.samples.size), *map(str, band))
        drawn = draw_change(samples, rate, (start, end), _guess(ridge, time, start, end), count, random)
        if drawn is not None:
            changes.append(_change(len(changes) + 1, drawn, kept, passing, random))
    if not changes:
        refuse(
            [
                f"recording: given a line of {ridge.contrast:.0f} dB that never falls by {least:g} with {LEAST_SIDE:g} "
                "s of it on either side; expected a change up. Choose a span that holds one, or a smaller least step."
            ]
        )
    return Heard(tuple(changes), ridge)


def _refuse(
    recording: Recording,
    band: tuple[float, float],
    span: tuple[float, float],
    guide: Sequence[tuple[float, float]],
    kept: Quantity,
    passing: Quantity,
    least: float,
) -> None:
    faults = known_faults(kept, "speed kept in the gap", "", -3.0) + known_faults(passing, "passing", "1/s")
    if not (band[0] >= 10 and 1.1 * band[0] <= band[1] <= 0.4 * recording.rate and band[1] <= 40 * band[0]):
        faults.append(
            f"band: given {band[0]:g} to {band[1]:g} Hz; expected 10 Hz or more, the highest 1.1 to 40 times the "
            f"lowest and at most {0.4 * recording.rate:g}. Work it out from the engine's speed."
        )
    if not (span[0] >= 0 and span[0] + 2 * LEAST_SIDE < span[1] <= recording.duration + 1e-9):
        faults.append(f"span: given {span[0]:g} to {span[1]:g} s; expected one within 0 to {recording.duration:.2f} s.")
    for number, (time, frequency) in enumerate(guide, 1):
        if not (0 <= time <= recording.duration and band[0] <= frequency <= band[1]):
            faults.append(
                f"guide {number}: given {frequency:g} Hz at {time:g} s; expected a point in the recording and the "
                "band. Mark it again."
            )
    if not 1.02 <= least <= 2:
        faults.append(f"least step: given {least:g}; expected 1.02 to 2. {LEAST_STEP:g} is usual.")
    refuse(faults)


def _guess(ridge: Ridge, time: float, start: float, end: float) -> Array:
    """Return first parameters: straight lines through the ridge on either side."""
    gap = 0.06
    logs = np.log(ridge.frequencies)

    def line(first: float, last: float, at: float) -> tuple[float, float]:
        chosen = (ridge.times >= first) & (ridge.times <= last)
        if chosen.sum() < 4:
            return float(np.interp(at, ridge.times, logs)), 0.0
        off = ridge.times[chosen] - at
        slope, level = np.polyfit(off, logs[chosen], 1)
        if abs(slope) > 2:
            return float(np.median(logs[chosen])), 0.0
        return float(level), float(slope)

    before, rise_1 = line(start, time - 0.07, time - gap / 2)
    after, rise_2 = line(time + 0.07, end, time + gap / 2)
    found = np.zeros(9)
    found[[LOG_F, LOG_Q, RISE_1, RISE_2, TIME, LOG_GAP]] = (
        before,
        before - after,
        rise_1,
        rise_2,
        time - gap / 2,
        np.log(gap),
    )
    found[SHAPE] = 0.5
    return found


def _change(number: int, drawn: Array, kept: Quantity, passing: Quantity, random: np.random.Generator) -> Change:
    count = drawn.shape[0]
    gap, rise = np.exp(drawn[:, LOG_GAP]), drawn[:, RISE_1]
    held, by = kept.to("").draw(count, random), passing.to("1/s").draw(count, random)

    def step(log: Array, gap: Array, rise: Array, held: Array, by: Array) -> Array:
        return np.asarray(np.exp(log + held * (rise - by) * gap + by * gap))

    log = drawn[:, LOG_Q]
    middle = np.full(count, float(np.median(held))), np.full(count, float(np.median(by)))
    still = [np.full(count, float(np.median(one))) for one in (log, gap, rise)]
    parts = {
        "noise": spread(step(log, gap, rise, *middle)),
        "speed in the gap": spread(step(still[0], still[1], still[2], held, middle[1])),
        "passing": spread(step(still[0], still[1], still[2], middle[0], by)),
    }
    soft = straightened(drawn[:, SHAPE])
    doubt = {
        "noise": spread(gap * soft / np.median(soft)),
        "softness": spread(np.median(gap * soft) / soft),
    }
    before, name = np.exp(drawn[:, LOG_F]), f"change {number}"
    return Change(
        measured(f"{name}, time", "s", drawn[:, TIME]),
        measured(f"{name}, ratio step", "", step(log, gap, rise, held, by), parts),
        measured(f"{name}, gap", "s", gap, doubt),
        measured(f"{name}, frequency before", "Hz", before),
        measured(f"{name}, frequency after", "Hz", before * np.exp(-log)),
    )
