"""How well stated confidences did once the truth came out, and how several people's confidences become one.

Pure functions of numbers. All scores are losses: 0 is best. Sums are correctly rounded, so their order changes nothing.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from ledger.errors import WeighingRefused

Numbers = npt.NDArray[np.float64]
SUM_TOLERANCE = 1e-9


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
    """The half Brier score as reliability - resolution + uncertainty (Murphy 1973).

    reliability  mean square of stated forecast less share that came true; 0 is best
    resolution   mean square of that share less the share over all; more is better
    uncertainty  o (1 - o) of the share o over all; the questions' own, nobody's merit
    brier        the half Brier score, computed apart from the three
    """

    reliability: float
    resolution: float
    uncertainty: float
    brier: float


def brier_half(forecasts: Sequence[float] | Numbers, outcomes: Sequence[float] | Numbers) -> float:
    """Return the half Brier score of yes-or-no forecasts, (1/N) Σ (f - o)², from 0 to 1.

    forecasts  stated chance f that it is so, 0…1
    outcomes   o: 1 if it was so, else 0

    Half of Brier's own sum over both classes. Raises WeighingRefused for what is no chance or no outcome.
    """
    stated, came = _yes_or_no(forecasts, outcomes)
    return math.fsum((stated - came) ** 2) / len(stated)


def brier_original(confidences: Sequence[Sequence[float]] | Numbers, truths: Sequence[int]) -> float:
    """Return the Brier score as first defined, (1/N) Σ_n Σ_k (f_nk - o_nk)², from 0 to 2.

    confidences  one row a forecast, one column a rival; each row sums to one
    truths       the column that came true, one a row

    Raises WeighingRefused for rows that are no confidences and columns that are not there.

    Source: Brier, Monthly Weather Review 78 (1950), p. 1.
    """
    rows, columns = _resolved(confidences, truths)
    came = np.zeros_like(rows)
    came[np.arange(len(rows)), columns] = 1.0
    return math.fsum(((rows - came) ** 2).ravel()) / len(rows)


def logarithmic(confidences: Sequence[Sequence[float]] | Numbers, truths: Sequence[int]) -> LogarithmicScore:
    """Return the logarithmic score in bits, (1/N) Σ -log2 f(truth), from 0 to math.inf.

    Arguments and errors as in `brier_original`.

    Source: Good, Journal of the Royal Statistical Society B 14 (1952), p. 107.
    """
    rows, columns = _resolved(confidences, truths)
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
    stated, came = _yes_or_no(forecasts, outcomes)
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


def decompose(forecasts: Sequence[float] | Numbers, outcomes: Sequence[float] | Numbers) -> Decomposition:
    """Return the parts of the half Brier score, which add up to it: BS = REL - RES + UNC.

    REL = (1/N) Σ_k n_k (f_k - o_k)², RES = (1/N) Σ_k n_k (o_k - o)², UNC = o (1 - o), over the groups k of equal
    stated forecasts f_k. Coarser bins would leave a remainder, so none are offered.

    Arguments and errors as in `brier_half`.

    Source: Murphy, Journal of Applied Meteorology 12 (1973), p. 595.
    """
    lines = calibration(forecasts, outcomes)
    count = sum(line.count for line in lines)
    share = math.fsum(line.count * line.share_true for line in lines) / count
    return Decomposition(
        reliability=math.fsum(line.count * (line.mean_forecast - line.share_true) ** 2 for line in lines) / count,
        resolution=math.fsum(line.count * (line.share_true - share) ** 2 for line in lines) / count,
        uncertainty=share * (1.0 - share),
        brier=brier_half(forecasts, outcomes),
    )


def linear_pool(
    confidences: Sequence[Sequence[float]] | Numbers, weights: Sequence[float] | None = None
) -> tuple[float, ...]:
    """Return the weighted mean of several people's confidences, Σ_i w_i p_i; it is sure only if all with weight are.

    confidences  one row a person, one column a rival; each row sums to one
    weights      w, one a person, 0…1, sum one; None: equal

    Raises WeighingRefused for rows that are no confidences and weights that are no shares.

    Source: Stone, Annals of Mathematical Statistics 32 (1961), p. 1339.
    """
    rows, shares = _people(confidences, weights)
    return tuple(math.fsum(shares * column) for column in rows.T)


def logarithmic_pool(
    confidences: Sequence[Sequence[float]] | Numbers, weights: Sequence[float] | None = None
) -> tuple[float, ...]:
    """Return the weighted geometric mean of several people's confidences, Π_i p_i^w_i made to sum to one.

    Shared evidence may be taken in before or after pooling, to the same end. A person of any weight who gives a rival
    no chance shuts it out for all; one of no weight has no say.

    Arguments as in `linear_pool`. Raises WeighingRefused likewise, and where every rival is shut out.

    Source: Genest and Zidek, Statistical Science 1 (1986), p. 114.
    """
    rows, shares = _people(confidences, weights)
    heard, say = rows[shares > 0.0], shares[shares > 0.0]
    open_to_all = np.all(heard > 0.0, axis=0)
    if not np.any(open_to_all):
        raise WeighingRefused(
            "every rival is given no chance by somebody; expected one that nobody shuts out. "
            "Raise a confidence above 0, or use the linear pool."
        )
    logs = say @ np.log(heard[:, open_to_all])
    pooled = np.zeros(rows.shape[1])
    pooled[open_to_all] = np.exp(logs - logs.max())
    return tuple(float(value) for value in pooled / math.fsum(pooled))


def effective_number(weights: Sequence[float] | Numbers) -> float:
    """Return how many equal weights would tell as much, (Σ w)² / Σ w², from 1 to their number.

    weights  finite, >= 0, one of them above 0; their scale does not matter

    Raises WeighingRefused otherwise.

    Source: Kish, Survey Sampling (1965).
    """
    given = _numbers("the weights", weights, 1)
    if not (np.all(np.isfinite(given)) and np.all(given >= 0.0) and np.any(given > 0.0)):
        raise WeighingRefused("the weights must be finite, none below 0 and one above 0. Correct the numbers.")
    shares = given / given.max()
    return math.fsum(shares) ** 2 / math.fsum(shares**2)


def _line(low: float, high: float, chosen: npt.NDArray[np.bool_], stated: Numbers, came: Numbers) -> CalibrationLine:
    values = stated[chosen]
    # A mean of equal values may round to a neighbour of theirs.
    mean = min(max(math.fsum(values) / len(values), float(values.min())), float(values.max()))
    return CalibrationLine(low, high, len(values), mean, math.fsum(came[chosen]) / len(values))


def _numbers(what: str, given: Sequence[object] | Numbers, dimensions: int) -> Numbers:
    shape = "a list of numbers" if dimensions == 1 else "rows of numbers, all as long as the first"
    remedy = f"{what} must be {shape}, and not empty. Complete them."
    try:
        array = np.asarray(given, dtype=np.float64)
    except (TypeError, ValueError) as error:
        raise WeighingRefused(remedy) from error
    if array.ndim != dimensions or array.size == 0:
        raise WeighingRefused(remedy)
    return array


def _refuse(faults: Iterable[str]) -> None:
    found = list(faults)
    if found:
        raise WeighingRefused("\n".join(found))


def _no_chances(what: str, values: Numbers) -> list[str]:
    return [
        f"{what} {number} is {value}; expected a probability from 0 to 1. Correct the number."
        for number, value in enumerate(values, start=1)
        if not 0.0 <= value <= 1.0
    ]


def _yes_or_no(forecasts: Sequence[float] | Numbers, outcomes: Sequence[float] | Numbers) -> tuple[Numbers, Numbers]:
    stated, came = _numbers("the forecasts", forecasts, 1), _numbers("the outcomes", outcomes, 1)
    faults = _no_chances("forecast", stated)
    faults += [
        f"outcome {number} is {value}; expected 1 (it was so) or 0. Leave out what is not resolved."
        for number, value in enumerate(came, start=1)
        if value not in (0.0, 1.0)
    ]
    if len(stated) != len(came):
        faults.append(f"{len(stated)} forecasts for {len(came)} outcomes; expected one each. Give both or neither.")
    _refuse(faults)
    return stated, came


def _confidences(given: Sequence[Sequence[float]] | Numbers) -> tuple[Numbers, list[str]]:
    rows = _numbers("the confidences", given, 2)
    faults: list[str] = []
    for number, row in enumerate(rows, start=1):
        wrong = _no_chances(f"row {number}, confidence", row)
        if not wrong and abs(math.fsum(row) - 1.0) > SUM_TOLERANCE:
            wrong = [f"row {number} sums to {math.fsum(row):.10g}; expected 1. Divide each by the sum."]
        faults += wrong
    return rows, faults


def _resolved(
    confidences: Sequence[Sequence[float]] | Numbers, truths: Sequence[int]
) -> tuple[Numbers, npt.NDArray[np.int_]]:
    rows, faults = _confidences(confidences)
    columns = range(rows.shape[1])
    faults += [
        f"truth {number} is {truth}; expected a column from 0 to {columns[-1]}. Name the rival that came true."
        for number, truth in enumerate(truths, start=1)
        if truth not in columns
    ]
    if len(rows) != len(truths):
        faults.append(f"{len(rows)} forecasts for {len(truths)} truths; expected one each. Give both or neither.")
    _refuse(faults)
    return rows, np.asarray(truths, dtype=np.int_)


def _people(
    confidences: Sequence[Sequence[float]] | Numbers, weights: Sequence[float] | None
) -> tuple[Numbers, Numbers]:
    rows, faults = _confidences(confidences)
    if weights is None:
        shares = np.full(len(rows), 1.0 / len(rows))
    else:
        shares = _numbers("the weights", weights, 1)
        wrong = _no_chances("weight", shares)
        if not wrong and abs(math.fsum(shares) - 1.0) > SUM_TOLERANCE:
            wrong = [f"the weights sum to {math.fsum(shares):.10g}; expected 1. Divide each by the sum."]
        if len(shares) != len(rows):
            wrong.append(f"{len(shares)} weights for {len(rows)} people; expected one each. Give one a person.")
        faults += wrong
    _refuse(faults)
    return rows, shares
