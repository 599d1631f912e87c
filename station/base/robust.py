"""Centres and spreads that a few slips cannot move, agreement of two methods, and scores between readers.

The estimators look alike and give different numbers; each says whose it is.

References
----------
Analytical Methods Committee (1989), Robust statistics, Analyst 114:1693 (Huber's estimators).
ISO 13528:2015, Annex C.3 (Algorithm A), clause 9 (z, zeta and En scores).
Bland and Altman (1986), Lancet i:307 (limits of agreement).
Robertson and Cryer (1974), J. Am. Stat. Assoc. 69:1012 (half-sample mode).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtr, stdtrit

NORMAL_PER_MAD = 1.4826  # standard deviation of a normal distribution over its median absolute deviation
HUBER_K = 1.5  # winsorizing limit in standard deviations, as in the Analyst paper and ISO 13528
ALGORITHM_A_FACTOR = 1.134  # makes the winsorized standard deviation right for normal data at k = 1.5
_STEPS = 200  # iterations; each moves the centre by less than half the one before
_CLOSE = 1e-10  # relative change that ends an iteration


@dataclass(frozen=True)
class Centre:
    """A robust centre and the robust standard deviation of one value, in the unit of the data."""

    location: float
    scale: float


def _row(x: ArrayLike) -> NDArray[np.float64]:
    values = np.asarray(x, dtype=float)
    if values.ndim != 1 or values.size == 0 or not np.isfinite(values).all():
        raise ValueError("a row of finite numbers is needed")
    return values


def madn(x: ArrayLike) -> float:
    """Return the median absolute deviation from the median, scaled to a normal standard deviation."""
    values = _row(x)
    return NORMAL_PER_MAD * float(np.median(np.abs(values - np.median(values))))


def huber_location(x: ArrayLike, scale: float | None = None, k: float = HUBER_K) -> Centre:
    """Return Huber's location with a fixed scale (MADN of the data unless given).

    With scale 0 (more than half of the values equal) the median is returned.
    """
    values = _row(x)
    fixed = madn(values) if scale is None else scale
    location = float(np.median(values))
    for _ in range(_STEPS):
        moved = float(np.mean(np.clip(values, location - k * fixed, location + k * fixed)))
        close = abs(moved - location) <= _CLOSE * fixed
        location = moved
        if close:
            break
    return Centre(location, fixed)


def huber_proposal_2(x: ArrayLike, k: float = HUBER_K) -> Centre:
    """Return Huber's proposal 2: location and scale together, scale from the exact constant beta(k)."""
    # beta: variance of a standard normal value winsorized at +-k
    density = math.exp(-k * k / 2.0) / math.sqrt(2.0 * math.pi)
    tail = 1.0 - float(ndtr(k))
    beta = (1.0 - 2.0 * tail) - 2.0 * k * density + 2.0 * k * k * tail
    return _winsorized(_row(x), k, 1.0 / math.sqrt(beta))


def algorithm_a(x: ArrayLike) -> Centre:
    """Return ISO 13528 Algorithm A: as proposal 2, with the standard's rounded factor 1.134."""
    return _winsorized(_row(x), HUBER_K, ALGORITHM_A_FACTOR)


def _winsorized(values: NDArray[np.float64], k: float, factor: float) -> Centre:
    location, scale = float(np.median(values)), madn(values)
    if values.size == 1 or scale == 0.0:
        return Centre(location, scale)
    for _ in range(_STEPS):
        inside = np.clip(values, location - k * scale, location + k * scale)
        new_location, new_scale = float(np.mean(inside)), factor * float(np.std(inside, ddof=1))
        close = max(abs(new_location - location), abs(new_scale - scale)) <= _CLOSE * scale
        location, scale = new_location, new_scale
        if close:
            break
    return Centre(location, scale)


def half_sample_mode(x: ArrayLike) -> float:
    """Return the half-sample mode: the densest half, again and again. For demonstration to a class only."""
    values = np.sort(_row(x))
    while values.size > 3:
        half = (values.size + 1) // 2
        widths = values[half - 1 :] - values[: values.size - half + 1]
        start = int(np.argmin(widths))
        values = values[start : start + half]
    if values.size == 3:
        left, right = values[1] - values[0], values[2] - values[1]
        if left == right:
            return float(values[1])
        values = values[:2] if left < right else values[1:]
    return float(np.mean(values))


@dataclass(frozen=True)
class Agreement:
    """Limits of agreement of paired differences; each ``*_ci`` is a 95 % confidence interval (low, high)."""

    n: int
    bias: float
    sd: float
    low: float
    high: float
    bias_ci: tuple[float, float]
    low_ci: tuple[float, float]
    high_ci: tuple[float, float]


def limits_of_agreement(differences: ArrayLike, factor: float = 1.96) -> Agreement:
    """Return bias and limits ``bias +- factor sd`` of paired differences.

    The paper prints limits with factor 2. Its interval of a limit uses the approximate variance 3 sd^2/n.

    Parameters
    ----------
    differences
        Shape (n,), n >= 2.
    """
    d = _row(differences)
    n = d.size
    if n < 2:
        raise ValueError("limits of agreement need at least two differences")
    bias, sd = float(np.mean(d)), float(np.std(d, ddof=1))
    t = float(stdtrit(n - 1, 0.975))
    low, high = bias - factor * sd, bias + factor * sd
    half, half_limit = t * sd / math.sqrt(n), t * sd * math.sqrt(3.0 / n)
    return Agreement(
        n, bias, sd, low, high,
        (bias - half, bias + half),
        (low - half_limit, low + half_limit),
        (high - half_limit, high + half_limit),
    )  # fmt: skip


def z_score(x: ArrayLike, assigned: ArrayLike, sigma: ArrayLike) -> NDArray[np.float64]:
    """Return z = (x - assigned)/sigma; |z| <= 2 satisfactory, >= 3 calls for action (ISO 13528 9.4)."""
    return (_array(x) - _array(assigned)) / _array(sigma)


def zeta_score(
    x: ArrayLike, u_x: ArrayLike, assigned: ArrayLike, u_assigned: ArrayLike
) -> NDArray[np.float64]:
    """Return zeta: the difference over its standard uncertainty, read like z (ISO 13528 9.6)."""
    return z_score(x, assigned, np.hypot(_array(u_x), _array(u_assigned)))


def en_score(
    x: ArrayLike, expanded_x: ArrayLike, assigned: ArrayLike, expanded_assigned: ArrayLike
) -> NDArray[np.float64]:
    """Return En: the difference over its expanded uncertainty; |En| <= 1 agrees (ISO 13528 9.7)."""
    return zeta_score(x, expanded_x, assigned, expanded_assigned)


def _array(x: ArrayLike) -> NDArray[np.float64]:
    return np.asarray(x, dtype=np.float64)
