"""How well stated confidences did once the truth came out.

Pure functions of numbers. All scores are losses: 0 is best. Sums are correctly rounded, so their order changes nothing.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from ledger.errors import WeighingRefused
from ledger.weighing.given import Numbers, resolved_rows, yes_or_no


@dataclass(frozen=True)
class LogarithmicScore:
    """Mean of -log2 of the chance given to what came true.

    bits      over all forecasts; math.inf when one of them gave the truth no chance
    infinite  how many did
    finite    the mean over the others, to stand beside `bits` and never in its place; None where there are no others
    """

    bits: float
    infinite: int
    finite: float | None


@dataclass(frozen=True)
class CalibrationLine:
    """The forecasts stated from low to high: how many, their mean, and the share of them that came true.

    Low and high are equal where the line is of one stated forecast.
    """

    low: float
    high: float
    count: int
    mean_forecast: float
    share_true: float


@dataclass(frozen=True)
class Decomposition:
    """The half Brier score as reliability - resolution + uncertainty + within.

    reliability  mean square of stated forecast less share that came true; 0 is best
    resolution   mean square of that share less the share over all; more is better
    uncertainty  o (1 - o) of the share o over all; the questions' own, nobody's merit
    within       what forecasts that differ inside a bin leave over; 0 where only equal ones are taken together
    brier        the half Brier score, computed apart from the others
    """

    reliability: float
    resolution: float
    uncertainty: float
    brier: float
    within: float = 0.0


def brier_half(forecasts: Sequence[float] | Numbers, outcomes: Sequence[float] | Numbers) -> float:
    """Return the half Brier score of yes-or-no forecasts, (1/N) Σ (f - o)², from 0 to 1.

    forecasts  stated chance f that it is so, 0…1
    outcomes   o: 1 if it was so, else 0

    Half of Brier's own sum over both classes. Raises WeighingRefused for what is no chance or no outcome.
    """
    stated, came = yes_or_no(forecasts, outcomes)
    return math.fsum((stated - came) ** 2) / len(stated)


def brier_original(confidences: Sequence[Sequence[float]] | Numbers, truths: Sequence[int]) -> float:
    """Return the Brier score as first defined, (1/N) Σ_n Σ_k (f_nk - o_nk)², from 0 to 2.

    confidences  one row a forecast, one column a rival; each row sums to one
    truths       the column that came true, one a row

    Raises WeighingRefused for rows that are no confidences and columns that are not there.

    Source: Brier, Monthly Weather Review 78 (1950), p. 1.
    """
    rows, columns = resolved_rows(confidences, truths)
    came = np.zeros_like(rows)
    came[np.arange(len(rows)), columns] = 1.0
    return math.fsum(((rows - came) ** 2).ravel()) / len(rows)


def logarithmic(confidences: Sequence[Sequence[float]] | Numbers, truths: Sequence[int]) -> LogarithmicScore:
    """Return the logarithmic score in bits, (1/N) Σ -log2 f(truth), from 0 to math.inf.

    Arguments and errors as in `brier_original`.

    Source: Good, Journal of the Royal Statistical Society B 14 (1952), p. 107.
    """
    rows, columns = resolved_rows(confidences, truths)
    given = rows[np.arange(len(rows)), columns]
    # A row may pass one by the tolerance of its sum: no score is below 0.
    losses = [max(0.0, -math.log2(chance)) for chance in given if chance > 0.0]
    infinite = len(given) - len(losses)
    finite = math.fsum(losses) / len(losses) if losses else None
    return LogarithmicScore(math.inf if infinite or finite is None else finite, infinite, finite)


def calibration(
    forecasts: Sequence[float] | Numbers,
    outcomes: Sequence[float] | Numbers,
    edges: Sequence[float] | None = None,
) -> tuple[CalibrationLine, ...]:
    """Return the calibration table, least forecast first: one line a stated forecast, or one a bin that is not empty.

    edges  rising from 0 to 1; a bin holds its lower edge, the last one both. None: equal forecasts share a line.

    Forecasts and outcomes as in `brier_half`. Raises WeighingRefused likewise, and for edges that do not rise so.
    """
    stated, came = yes_or_no(forecasts, outcomes)
    if edges is None:
        return tuple(_line(value, value, stated == value, stated, came) for value in map(float, np.unique(stated)))
    if len(edges) < 2 or edges[0] != 0.0 or edges[-1] != 1.0 or not all(low < high for low, high in pairwise(edges)):
        raise WeighingRefused(
            f"the edges are {list(edges)}; expected numbers that rise from 0 to 1. Put them in order."
        )
    places = np.minimum(np.searchsorted(np.asarray(edges, dtype=float), stated, side="right") - 1, len(edges) - 2)
    return tuple(
        _line(float(low), float(high), places == place, stated, came)
        for place, (low, high) in enumerate(pairwise(edges))
        if np.any(places == place)
    )


def decompose(
    forecasts: Sequence[float] | Numbers,
    outcomes: Sequence[float] | Numbers,
    edges: Sequence[float] | None = None,
) -> Decomposition:
    """Return the parts of the half Brier score, which add up to it: BS = REL - RES + UNC + W.

    REL = (1/N) Σ_k n_k (f_k - o_k)², RES = (1/N) Σ_k n_k (o_k - o)², UNC = o (1 - o), over the groups k of forecasts
    with the mean f_k and the share o_k that came true. Without edges a group is of equal forecasts (Murphy), and W = 0.
    With edges it is a bin, and W = (1/N) Σ_k Σ_j [(f_kj - f_k)² - 2 (f_kj - f_k) (o_kj - o_k)], the variance within
    bins less twice the covariance (Stephenson and others).

    Arguments and errors as in `calibration`.

    Sources: Murphy, Journal of Applied Meteorology 12 (1973), p. 595; Stephenson, Coelho and Jolliffe, Weather and
    Forecasting 23 (2008), p. 752.
    """
    stated, came = yes_or_no(forecasts, outcomes)
    lines = calibration(stated, came, edges)
    count = sum(line.count for line in lines)
    share = math.fsum(line.count * line.share_true for line in lines) / count
    return Decomposition(
        reliability=math.fsum(line.count * (line.mean_forecast - line.share_true) ** 2 for line in lines) / count,
        resolution=math.fsum(line.count * (line.share_true - share) ** 2 for line in lines) / count,
        uncertainty=share * (1.0 - share),
        brier=brier_half(stated, came),
        within=0.0 if edges is None else math.fsum(_within(line, edges[-1], stated, came) for line in lines) / count,
    )


def _within(line: CalibrationLine, last: float, stated: Numbers, came: Numbers) -> float:
    inside = (stated >= line.low) & ((stated < line.high) | (line.high == last))
    off, beside = stated[inside] - line.mean_forecast, came[inside] - line.share_true
    return math.fsum(off**2 - 2.0 * off * beside)


def _line(low: float, high: float, chosen: npt.NDArray[np.bool_], stated: Numbers, came: Numbers) -> CalibrationLine:
    values = stated[chosen]
    # A mean of equal values may round to a neighbour of theirs.
    mean = min(max(math.fsum(values) / len(values), float(values.min())), float(values.max()))
    return CalibrationLine(low, high, len(values), mean, math.fsum(came[chosen]) / len(values))
