"""Uncertainty budgets, means of correlated samples, straight lines and conformance probabilities.

References
----------
JCGM 100:2008 (GUM), 4.3.7 (rectangular limits), 5.1 (combination), G.4 (effective degrees of freedom),
H.3 (straight line).
JCGM 106:2012, clause 7 (conformance probability).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtr, ndtri, stdtr, stdtrit

Shape = Literal["normal", "t", "rectangular", "triangular"]


@dataclass(frozen=True)
class Component:
    """One line of a budget.

    ``u`` is the standard uncertainty of the input, ``sensitivity`` the partial derivative of the result by
    it, ``dof`` the degrees of freedom of ``u`` (infinite: taken as known), ``source`` says where it is from.
    """

    name: str
    u: float
    dof: float = math.inf
    sensitivity: float = 1.0
    shape: Shape = "normal"
    source: str = ""

    def __post_init__(self) -> None:
        """Refuse a line that would make the sum silently wrong."""
        if not (math.isfinite(self.u) and self.u >= 0 and math.isfinite(self.sensitivity) and self.dof > 0):
            raise ValueError(
                f"budget line {self.name!r} needs a finite u >= 0, a finite sensitivity and dof > 0"
            )

    @property
    def contribution(self) -> float:
        """Standard uncertainty of the result due to this line, in the unit of the result."""
        return abs(self.sensitivity) * self.u


def rectangular(name: str, half_width: float, *, sensitivity: float = 1.0, source: str = "") -> Component:
    """Return the line of a quantity that lies within ``+-half_width``, no value likelier (GUM 4.3.7)."""
    return Component(
        name, half_width / math.sqrt(3.0), sensitivity=sensitivity, shape="rectangular", source=source
    )


def triangular(name: str, half_width: float, *, sensitivity: float = 1.0, source: str = "") -> Component:
    """Return the line of a quantity within ``+-half_width``, values near the middle likelier (GUM 4.3.9)."""
    return Component(
        name, half_width / math.sqrt(6.0), sensitivity=sensitivity, shape="triangular", source=source
    )


@dataclass(frozen=True)
class BudgetLine:
    """A line as it is printed: the component, its contribution and its share of the combined variance."""

    name: str
    u: float
    dof: float
    sensitivity: float
    contribution: float
    share: float
    shape: Shape
    source: str


@dataclass(frozen=True)
class Budget:
    """Independent components of one result; equal names are allowed, correlated inputs are not."""

    components: tuple[Component, ...]

    @property
    def u(self) -> float:
        """Combined standard uncertainty (GUM 5.1.2)."""
        return math.hypot(*(c.contribution for c in self.components))

    @property
    def dof(self) -> float:
        """Effective degrees of freedom by Welch and Satterthwaite (GUM G.4.1), not truncated."""
        # Contributions are divided by u first: fourth powers of small numbers vanish.
        u = self.u
        if u == 0.0:
            return math.inf
        parts = sum((c.contribution / u) ** 4 / c.dof for c in self.components)
        return 1.0 / parts if parts > 0.0 else math.inf

    def coverage_factor(self, coverage: float = 0.95) -> float:
        """Return k for a two-sided interval with this coverage, from the effective degrees of freedom."""
        return coverage_factor(self.dof, coverage)

    def expanded(self, coverage: float = 0.95) -> float:
        """Return the expanded uncertainty U = k u, the half-width of the interval."""
        return self.coverage_factor(coverage) * self.u

    def lines(self) -> tuple[BudgetLine, ...]:
        """Return every component as it is printed, in the order given."""
        variance = self.u**2
        return tuple(
            BudgetLine(
                c.name, c.u, c.dof, c.sensitivity, c.contribution,
                c.contribution**2 / variance if variance > 0.0 else 0.0, c.shape, c.source,
            )
            for c in self.components
        )  # fmt: skip


def coverage_factor(dof: float, coverage: float = 0.95) -> float:
    """Return the two-sided coverage factor of the t distribution (normal for infinite ``dof``).

    GUM G.4.1 lets fractional degrees of freedom be interpolated or truncated; here they are used as they are.
    """
    if not 0.0 < coverage < 1.0:
        raise ValueError(f"coverage must lie between 0 and 1, not {coverage}")
    upper = 0.5 + coverage / 2.0
    return float(ndtri(upper) if math.isinf(dof) else stdtrit(dof, upper))


@dataclass(frozen=True)
class SeriesMean:
    """Mean of evenly spaced, possibly correlated samples, with what is needed to judge it.

    ``u`` is NaN for a single sample: its scatter is unknown.
    """

    mean: float
    u: float
    dof: float
    sd: float
    n: int
    n_effective: float
    lag1: float


def series_mean(samples: ArrayLike) -> SeriesMean:
    """Return the mean of samples in order of time and its standard uncertainty.

    Neighbouring samples of air temperature resemble each other, so n of them carry less than n pieces of
    information. A first-order autoregressive series has about ``n (1 - r)/(1 + r)`` of them, r being the
    correlation of neighbours. The usual estimate of r is too low in short series by about (1 + 4 r)/n; that
    is put back. Negative r is taken as 0, so that scatter never counts for less than in white noise. Below
    three samples r cannot be estimated and one piece of information is assumed.

    Parameters
    ----------
    samples
        Shape (n,), n >= 1, finite, evenly spaced, unit of the result.

    References
    ----------
    Bayley and Hammersley (1946), J. R. Stat. Soc. Suppl. 8:184 (effective number of observations).
    Marriott and Pope (1954), Biometrika 41:390 (bias of r). Both from memory; the tests check the coverage of
    the intervals by simulation.
    """
    x = np.asarray(samples, dtype=float)
    if x.ndim != 1 or x.size == 0 or not np.isfinite(x).all():
        raise ValueError("a mean needs a row of finite samples")
    n = x.size
    mean = float(np.mean(x))
    if n == 1:
        return SeriesMean(mean, math.nan, 1.0, math.nan, 1, 1.0, math.nan)
    deviations = x - mean
    squares = float(deviations @ deviations)
    sd = math.sqrt(squares / (n - 1))
    if n == 2:
        return SeriesMean(mean, sd, 1.0, sd, n, 1.0, math.nan)
    raw = float(deviations[1:] @ deviations[:-1]) / squares if squares > 0.0 else 0.0
    lag1 = (n * raw + 1.0) / (n - 4.0) if n > 4 else 1.0
    lag1 = min(max(lag1, 0.0), 1.0) if squares > 0.0 else 0.0
    n_effective = max(n * (1.0 - lag1) / (1.0 + lag1), 1.0)
    return SeriesMean(
        mean, sd / math.sqrt(n_effective), max(n_effective - 1.0, 1.0), sd, n, n_effective, lag1
    )


@dataclass(frozen=True)
class Line:
    """A straight line ``intercept + slope (x - x0)`` with its standard uncertainties (GUM H.3)."""

    intercept: float
    slope: float
    u_intercept: float
    u_slope: float
    correlation: float
    residual_sd: float
    dof: int
    x0: float

    def at(self, x: float) -> tuple[float, float]:
        """Return the line's value at ``x`` and its standard uncertainty, correlation included (H.3.4)."""
        d = x - self.x0
        covariance = self.correlation * self.u_intercept * self.u_slope
        variance = self.u_intercept**2 + d * d * self.u_slope**2 + 2.0 * d * covariance
        return self.intercept + self.slope * d, math.sqrt(max(variance, 0.0))


def fit_line(x: ArrayLike, y: ArrayLike, x0: float = 0.0) -> Line:
    """Fit a straight line by ordinary least squares, equal weights.

    Parameters
    ----------
    x, y
        Shape (n,), n >= 3, not all x equal.
    x0
        Where the intercept is taken.
    """
    xs, ys = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    n = xs.size
    if n < 3 or xs.shape != ys.shape:
        raise ValueError("a line with uncertainties needs at least three points")
    x_mean, y_mean = float(np.mean(xs)), float(np.mean(ys))
    dx = xs - x_mean
    sxx = float(dx @ dx)
    if sxx == 0.0:
        raise ValueError("a line needs two different x")
    slope = float(dx @ (ys - y_mean)) / sxx
    residuals = (ys - y_mean) - slope * dx
    s = math.sqrt(float(residuals @ residuals) / (n - 2))
    d = x0 - x_mean
    u_slope = s / math.sqrt(sxx)
    u_intercept = s * math.sqrt(1.0 / n + d * d / sxx)
    correlation = d / math.sqrt(sxx) / math.sqrt(1.0 / n + d * d / sxx)
    return Line(y_mean + slope * d, slope, u_intercept, u_slope, correlation, s, n - 2, x0)


def p_inside(
    value: ArrayLike, u: ArrayLike, low: ArrayLike, high: ArrayLike, dof: ArrayLike = math.inf
) -> NDArray[np.float64]:
    """Return the probability that the quantity lies in ``[low, high]`` (JCGM 106 clause 7), any shape.

    Parameters
    ----------
    value, u
        Estimate and its standard uncertainty, u >= 0; with u = 0 the answer is 0 or 1. NaN gives NaN.
    low, high
        Tolerance limits; infinite for a one-sided tolerance.
    dof
        Degrees of freedom of u: a t distribution, infinite for the normal one.
    """
    y, s, a, b, nu = np.broadcast_arrays(*(np.asarray(q, dtype=float) for q in (value, u, low, high, dof)))
    with np.errstate(divide="ignore", invalid="ignore"):
        upper, lower = (b - y) / s, (a - y) / s
    normal = np.isinf(nu)
    safe = np.where(normal, 1.0, nu)
    p = np.where(normal, ndtr(upper) - ndtr(lower), stdtr(safe, upper) - stdtr(safe, lower))
    exact = np.where((a <= y) & (y <= b), 1.0, 0.0)
    known = ~(np.isnan(y) | np.isnan(s) | np.isnan(a) | np.isnan(b) | np.isnan(nu))
    result: NDArray[np.float64] = np.where(known, np.where(s == 0.0, exact, p), np.nan)
    return result
