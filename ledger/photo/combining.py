"""Several measurements of one quantity, made into one, with the errors they share.

Two lengths from one photograph share its scale, tilt and lens; taken as independent they would look more certain than
they are. Generalised least squares with the covariance V of the measurements y:

    estimate = (1ᵀ V⁻¹ y)/(1ᵀ V⁻¹ 1),    u² = 1/(1ᵀ V⁻¹ 1),    χ² = rᵀ V⁻¹ r,  r = y - estimate,  n - 1 freedoms.

Sources, from memory: Aitken, Proc. R. Soc. Edinburgh 55 (1935), 42-48; Lyons, Gibaut and Clifford, Nucl. Instrum. Meth.
A 270 (1988), 110-117 (correlated estimates of one quantity); Cox, Metrologia 39 (2002), 589-595 (the χ² test at 5 %);
Baarda, A testing procedure for use in geodetic networks (1968) (the odd one).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import isfinite, sqrt

import numpy as np
from scipy.special import erfc
from scipy.stats import chi2

from ledger.photo.values import DRAWS, Measured, measured, refuse
from ledger.quantities.draws import generator

CONFLICT = 0.05
# The least share of its variance that a covariance matrix must keep in every direction.
SINGULAR = 1e-10
ROUNDS = 25
# What measurements from one photograph have in common, among the causes the methods name.
SHARED_CAUSES = ("reference", "scale", "known", "tilt", "depth", "focal", "lens", "model")


@dataclass(frozen=True)
class Reading:
    """One measurement of the quantity.

    estimate, uncertainty  in `unit`, the uncertainty standard and > 0
    shared                 cause to the part of the uncertainty that every reading naming that cause has in common, all
                           moved the same way; a part below zero moves the other way
    """

    label: str
    unit: str
    estimate: float
    uncertainty: float
    shared: Mapping[str, float]


@dataclass(frozen=True)
class Combined:
    """Readings made into one.

    value        the estimate, with its uncertainty as the readings claim it
    chi_squared, freedom, chance  the test of agreement: how far they differ, n - 1, and the chance of differing so much
    conflict     whether that chance is under 5 %: the readings cannot all be right, and `value` is not to be relied on
    odd          in a conflict of three or more, the reading that fits the others worst; None otherwise
    odd_chance   the chance that the worst of so many fits as badly; None without an odd one
    weights      label to its share in the estimate; they add up to 1, and one may be below zero
    widened      the uncertainty times √(χ²/freedom) where that is above 1 (Birge): what it had to be for agreement
    """

    value: Measured
    chi_squared: float
    freedom: int
    chance: float
    conflict: bool
    odd: str | None
    odd_chance: float | None
    weights: Mapping[str, float]
    widened: float


def reading(found: Measured, photograph: str, label: str = "", shared_causes: Sequence[str] = SHARED_CAUSES) -> Reading:
    """Return a measured value as a reading that shares some parts with all others of the same photograph.

    A part is what its cause does alone. What several do only together (an unknown focal length, once the part is
    tilted) is in no part: √(u² - Σ parts²) is shared under `together`, as the causes are that make it.
    """
    shared = {f"{photograph}: {cause}": found.parts[cause] for cause in shared_causes if found.parts.get(cause, 0.0)}
    rest = found.uncertainty**2 - sum(part**2 for part in found.parts.values())
    if shared and rest > 0:
        shared[f"{photograph}: together"] = sqrt(rest)
    size = sqrt(sum(part**2 for part in shared.values()))
    # Parts are told from fewer draws than the whole; together they cannot pass it.
    if size > found.uncertainty > 0:
        shared = {cause: part * found.uncertainty / size for cause, part in shared.items()}
    return Reading(label or found.label, found.unit, found.estimate, found.uncertainty, shared)


def combine(label: str, readings: Sequence[Reading], proportional: bool = True, count: int = DRAWS) -> Combined:
    """Return several readings of one quantity as one, with a test whether they agree.

    proportional  whether shared parts grow with the quantity, as those of a scale do: they are then taken at the
                  estimate instead of at each reading, without which the estimate falls below all of them (Peelle's
                  puzzle); False for places and angles, whose shared errors do not grow. Asks readings above zero.

    PhotoRefused, all faults at once: fewer than two readings; a label twice; other units; numbers that are not finite
    or uncertainties not above zero; shared parts above the whole; readings that share all they are uncertain of.
    """
    refuse(_faults(readings, proportional))
    estimates = np.array([one.estimate for one in readings])
    causes = sorted({cause for one in readings for cause in one.shared})
    parts = np.array([[one.shared.get(cause, 0.0) for cause in causes] for one in readings]).reshape(len(readings), -1)
    own = np.array([one.uncertainty**2 for one in readings]) - np.sum(parts**2, axis=1)
    own = np.maximum(own, 0.0)
    middle = float(np.mean(estimates))
    for _ in range(ROUNDS if proportional else 1):
        taken = parts * (middle / estimates)[:, None] if proportional else parts
        covariance = np.diag(own) + taken @ taken.T
        middle, before = _estimate(estimates, covariance)[0], middle
        if abs(middle - before) <= 1e-13 * abs(before):
            break
    return _told(label, [one.label for one in readings], readings[0].unit, estimates, covariance, count)


def _faults(readings: Sequence[Reading], proportional: bool) -> list[str]:
    faults = []
    if len(readings) < 2:
        faults.append(f"combining: given {len(readings)} readings; expected two at least. Measure it once more.")
    labels = [one.label for one in readings]
    for label in sorted({one for one in labels if labels.count(one) > 1}):
        faults.append(f"combining: given `{label}` twice; expected each label once. Name the readings apart.")
    if len({one.unit for one in readings}) > 1:
        units = ", ".join(f"`{one.unit}`" for one in readings)
        faults.append(f"combining: given readings in {units}; expected one unit. Convert them first.")
    for one in readings:
        numbers = (one.estimate, one.uncertainty, *one.shared.values())
        if not all(isfinite(number) for number in numbers) or one.uncertainty <= 0:
            faults.append(
                f"`{one.label}`: given {one.estimate:g} with an uncertainty of {one.uncertainty:g}; expected finite "
                "numbers and an uncertainty above zero. An exact value needs no combining."
            )
        elif sum(part**2 for part in one.shared.values()) > one.uncertainty**2 * (1 + 1e-9):
            faults.append(
                f"`{one.label}`: given shared parts that are together above its uncertainty of {one.uncertainty:g}; "
                "expected parts of it. Check the parts."
            )
        elif proportional and one.estimate <= 0:
            faults.append(
                f"`{one.label}`: given {one.estimate:g} with shared parts that grow with it; expected it above zero. "
                "Say that they do not grow."
            )
    return faults


def _estimate(estimates: np.ndarray, covariance: np.ndarray) -> tuple[float, np.ndarray, np.ndarray]:
    """Return the estimate, the weights, and V⁻¹."""
    scale = np.sqrt(np.diag(covariance))
    related = covariance / np.outer(scale, scale)
    if np.linalg.eigvalsh(related)[0] < SINGULAR:
        refuse(
            [
                "combining: given readings that share all they are uncertain of; expected each to have an error of its "
                "own. Leave out the readings that repeat another one."
            ]
        )
    inverse = np.linalg.inv(related) / np.outer(scale, scale)
    weights = inverse.sum(axis=0) / inverse.sum()
    return float(weights @ estimates), weights, inverse


def _told(
    label: str, labels: Sequence[str], unit: str, estimates: np.ndarray, covariance: np.ndarray, count: int
) -> Combined:
    middle, weights, inverse = _estimate(estimates, covariance)
    uncertainty = 1 / sqrt(inverse.sum())
    left = estimates - middle
    freedom = len(estimates) - 1
    chi_squared = max(float(left @ inverse @ left), 0.0)
    chance = float(chi2.sf(chi_squared, freedom))
    conflict = chance < CONFLICT
    odd, odd_chance = _odd(labels, left, inverse) if conflict and freedom > 1 else (None, None)
    random = generator("combined", label, unit, repr(estimates.tolist()), repr(covariance.tolist()))
    # Standardised, so that the mean and spread told are those of the formulas and not of the draws.
    normal = random.standard_normal(count)
    if count > 1:
        normal = (normal - normal.mean()) / normal.std(ddof=1)
    value = measured(label, unit, middle + uncertainty * normal, {})
    widened = uncertainty * max(1.0, sqrt(chi_squared / freedom))
    shares = dict(zip(labels, weights.tolist(), strict=True))
    return Combined(value, chi_squared, freedom, chance, conflict, odd, odd_chance, shares, widened)


def _odd(labels: Sequence[str], left: np.ndarray, inverse: np.ndarray) -> tuple[str, float]:
    """Return the reading that fits the others worst, and the chance that the worst of n does (Šidák).

    w_i = (V⁻¹ r)_i / √(V⁻¹ - V⁻¹ 1 1ᵀ V⁻¹/(1ᵀ V⁻¹ 1))_ii: by how much a reading had to be moved to agree with the
    others, as it is related to them, over the standard uncertainty of that move; χ² falls by its square without it.
    """
    total = inverse.sum(axis=0)
    spread = np.diag(inverse) - total**2 / inverse.sum()
    worth = np.abs(inverse @ left) / np.sqrt(spread)
    worst = int(np.argmax(worth))
    single = float(erfc(worth[worst] / sqrt(2)))
    return labels[worst], float(-np.expm1(len(left) * np.log1p(-min(single, 1 - 1e-16))))
