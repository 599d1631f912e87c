"""Team bias and thermometer offset from one fit, with session effects in and slips out.

    indication - centre of the session = session + team + thermometer + rest

Sessions are free, so neither the weather nor the probe's own offset reaches a team or a thermometer, and
the fit works without a probe. Team and thermometer effects are shrunk towards their class: effects with a
t distribution, whose two spreads are integrated over, so that the limits carry the doubt of the spreads
themselves and one thermometer far off keeps its offset. Each team has its own rest, since a team that
rounds to fives scatters more than its neighbours.

References
----------
Searle, Casella and McCulloch (1992), Variance Components, ch. 7 (mixed-model equations, prediction error
variance); Gelman (2006), Bayesian Analysis 1:515 (weakly informative priors for the spread of few groups).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import stdtrit

from station.base.robust import huber_location, madn

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]

#: A rest beyond this many of its team's spreads is set aside as a slip; a normal rest does it once in 16,000.
SLIP_SPREADS = 4.0
#: No reading closer than this to its fit is ever a slip [degC]: two marks.
SLIP_LEAST_C = 2.0
#: A team's own rest counts as many readings of the class's common rest before its own say [readings].
REST_PRIOR_READINGS = 20.0
#: Least rest [degC]: rounding to a mark of 1 degC alone gives 0.29.
REST_LEAST_C = 0.29
#: Spreads of team and thermometer effects tried [degC], and the middle and width (in natural logarithms) of
#: their log-normal prior: boxes and classes between 0.1 and 0.9 degC are common practice; a prior that lets
#: the spread go to nothing makes limits too narrow (tried: 91 % of 95 % limits held).
SPREADS_C = np.geomspace(0.05, 2.0, 13)
PRIOR_SCALE_C = 0.3
PRIOR_WIDTH = 0.6
#: Degrees of freedom of the t distribution of effects: one thermometer far off must not be pulled in.
TAIL_DOF = 3.0
#: Rounds of fit and set-aside; the limits move by under a hundredth of a degree after six.
ROUNDS = 8


@dataclass(frozen=True)
class Limits:
    """An estimate with its 95 % limits [degC]."""

    value: float
    low: float
    high: float


@dataclass(frozen=True)
class Crossed:
    """The crossed fit of one class.

    ``units`` and ``numbers`` are effects and ``covariance`` is that of both stacked [degC, degC^2], before
    any zero is chosen; ``sessions`` [degC] and their variances; ``slip`` marks readings set aside; ``rest``
    is each reading's residual [degC] and ``rest_spread`` each unit's spread; ``dof`` of the t limits.
    """

    units: Floats
    numbers: Floats
    covariance: Floats
    sessions: Floats
    session_variance: Floats
    slip: Bools
    rest: Floats
    rest_spread: Floats
    dof: float

    def contrast(self, weights: Floats) -> Limits:
        """Return a linear combination of the stacked effects with its 95 % limits.

        Parameters
        ----------
        weights : ndarray, shape (units + numbers,)
        """
        value = float(weights @ np.concatenate((self.units, self.numbers)))
        half = float(stdtrit(self.dof, 0.975)) * math.sqrt(
            max(float(weights @ self.covariance @ weights), 0.0)
        )
        return Limits(value, value - half, value + half)


def fit(
    y: Floats,
    session: Ints,
    unit: Ints,
    number: Ints,
    counts: tuple[int, int, int],
    group: Ints | None = None,
) -> Crossed:
    """Fit the crossed model, setting slips aside.

    Parameters
    ----------
    y : ndarray, shape (n,)
        Indication minus any value that is constant within a session, such as its reference [degC]; finite.
    session, unit, number : ndarray of int, shape (n,)
        Codes; ``number`` -1 where the thermometer is not known.
    counts : (int, int, int)
        How many sessions, units and numbers there are.
    group : ndarray of int, shape (units,), optional
        Which team each unit (a team between two changes) belongs to; a team keeps one rest.

    Returns
    -------
    Crossed
    """
    n_units = counts[1]
    group = np.arange(n_units) if group is None else group
    fitted = _polish(y, session, unit, number, counts)
    fitted_variance = np.zeros(y.size)
    stretch = np.ones(n_units + counts[2])
    spread_of_numbers = PRIOR_SCALE_C
    for _ in range(ROUNDS):
        rest = y - fitted
        slip = np.abs(rest) > np.maximum(SLIP_SPREADS * _usual_spreads(rest, unit, group), SLIP_LEAST_C)
        rest_spread = _rest_spreads(rest, fitted_variance, ~slip, unit, group)
        # an unknown thermometer may be any of the box
        variance = rest_spread[unit] ** 2 + np.where(number < 0, spread_of_numbers**2, 0.0)
        solved = _solve(y, np.where(slip, 0.0, 1.0 / variance), session, unit, number, counts, stretch)
        spread_of_numbers = solved.spreads[-1]
        fitted, fitted_variance = solved.fitted, solved.fitted_variance
        size = (solved.effects**2 + np.diag(solved.covariance)) / solved.spreads**2
        stretch = (TAIL_DOF + size) / (TAIL_DOF + 1.0)
    return Crossed(
        units=solved.effects[:n_units],
        numbers=solved.effects[n_units:],
        covariance=solved.covariance,
        sessions=solved.centres,
        session_variance=solved.centre_variance,
        slip=slip,
        rest=y - fitted,
        rest_spread=rest_spread,
        dof=REST_PRIOR_READINGS + float((~slip).sum()) / max(n_units, 1),
    )


def centre_weights(values: Floats) -> Floats:
    """Return the weights, summing to one, with which ``values`` make their Huber centre.

    Values of one kind that agree have equal weights; one far out keeps little of its own. The spread is at
    least 0.1 degC so that a box that happens to agree is not split hairs over.
    """
    if values.size == 0:
        return values
    spread = max(madn(values), 0.1)
    centre = huber_location(values, spread).location
    away = np.abs(values - centre) / (1.5 * spread)
    weights = 1.0 / np.maximum(away, 1.0)
    return np.asarray(weights / weights.sum())


def _polish(y: Floats, session: Ints, unit: Ints, number: Ints, counts: tuple[int, int, int]) -> Floats:
    """Return a first fit by medians, which half of the readings being slips could not move."""
    fitted = np.zeros(y.size)
    for _ in range(3):
        for code, count in zip((session, unit, number), counts, strict=True):
            rest = y - fitted
            for k in range(count):
                mine = code == k
                if mine.any():
                    fitted[mine] += np.median(rest[mine])
    return fitted


def _usual_spreads(rest: Floats, unit: Ints, group: Ints) -> Floats:
    """Return each reading's yardstick for slips [degC]: its team's MADN, shrunk towards the class's."""
    common = max(madn(rest), REST_LEAST_C)
    team = group[unit]
    yardstick = np.full(rest.size, common)
    for k in np.unique(team):
        mine = team == k
        n = int(mine.sum())
        variance = (REST_PRIOR_READINGS * common**2 + n * madn(rest[mine]) ** 2) / (REST_PRIOR_READINGS + n)
        yardstick[mine] = max(math.sqrt(variance), REST_LEAST_C)
    return yardstick


def _rest_spreads(rest: Floats, fitted_variance: Floats, kept: Bools, unit: Ints, group: Ints) -> Floats:
    """Return each unit's rest [degC]: its team's own, shrunk towards the class's.

    A fit hugs its readings, so each squared rest has the variance of its fitted value added (the
    expectation step of the EM algorithm for variance components).
    """
    team = group[unit]
    size = int(group.max()) + 1 if group.size else 0
    if not kept.any():
        return np.full(group.size, PRIOR_SCALE_C)
    square = rest**2 + fitted_variance
    common = max(math.hypot(madn(rest[kept]), math.sqrt(np.median(fitted_variance[kept]))), REST_LEAST_C)
    n = np.bincount(team[kept], minlength=size)
    squares = np.bincount(team[kept], weights=square[kept], minlength=size)
    variance = (REST_PRIOR_READINGS * common**2 + squares) / (REST_PRIOR_READINGS + n)
    return np.maximum(np.sqrt(variance), REST_LEAST_C)[group]


@dataclass(frozen=True)
class _Solved:
    effects: Floats
    covariance: Floats
    centres: Floats
    centre_variance: Floats
    fitted: Floats
    fitted_variance: Floats
    spreads: Floats


def _solve(
    y: Floats,
    weight: Floats,
    session: Ints,
    unit: Ints,
    number: Ints,
    counts: tuple[int, int, int],
    stretch: Floats,
) -> _Solved:
    """Solve the mixed-model equations, sessions absorbed, averaged over both spreads."""
    n_sessions, n_units, n_numbers = counts
    size = n_units + n_numbers
    known = number >= 0
    per_session = np.bincount(session, weights=weight, minlength=n_sessions)
    inverse = np.divide(1.0, per_session, out=np.zeros(n_sessions), where=per_session > 0)
    # cross[s, e]: weight of session s on effect e; square[e, f]: of effects on each other
    cross = np.zeros((n_sessions, size))
    np.add.at(cross, (session, unit), weight)
    np.add.at(cross, (session[known], n_units + number[known]), weight[known])
    square = np.diag(cross.sum(axis=0))
    both = np.zeros((n_units, n_numbers))
    np.add.at(both, (unit[known], number[known]), weight[known])
    square[:n_units, n_units:] += both
    square[n_units:, :n_units] += both.T
    centre = np.bincount(session, weights=weight * y, minlength=n_sessions) * inverse
    rest = y - centre[session]
    right = np.bincount(unit, weights=weight * rest, minlength=size).astype(np.float64)
    right += np.bincount(n_units + number[known], weights=(weight * rest)[known], minlength=size)
    information = square - cross.T @ (inverse[:, None] * cross)

    p, effects, covariance = _averaged(information, right, stretch, n_units)
    centres = centre - inverse * (cross @ effects)
    share = inverse[:, None] * cross
    centre_variance = inverse + ((share @ covariance) * share).sum(axis=1)
    # each reading's row of weights over the effects, its session's centre included
    row = -share[session]
    row[np.arange(y.size), unit] += 1.0
    row[np.flatnonzero(known), n_units + number[known]] += 1.0
    spread_u, spread_k = float(p.sum(axis=1) @ SPREADS_C), float(p.sum(axis=0) @ SPREADS_C)
    return _Solved(
        effects=effects,
        covariance=covariance,
        centres=centres,
        centre_variance=centre_variance,
        fitted=centre[session] + row @ effects,
        fitted_variance=inverse[session] + ((row @ covariance) * row).sum(axis=1),
        spreads=np.concatenate((np.full(n_units, spread_u), np.full(n_numbers, spread_k))),
    )


def _averaged(
    information: Floats, right: Floats, stretch: Floats, n_units: int
) -> tuple[Floats, Floats, Floats]:
    """Return the weights of both spreads (units' by numbers'), the effects and their covariance.

    For each spread of the numbers these are eliminated; what is left of the units has its eigenvectors taken
    once, and every spread of the units only shifts the eigenvalues (Schur complement).
    """
    unit = slice(None, n_units)
    scale = np.sqrt(stretch)  # in these units the prior of one kind of effect is a multiple of one
    matrix, r = information * np.outer(scale, scale), right * scale
    cross, tube = matrix[unit, n_units:], matrix[n_units:, n_units:]
    n_numbers = tube.shape[0]
    log_p = np.empty((SPREADS_C.size, SPREADS_C.size))
    means = np.empty((*log_p.shape, r.size))
    parts = []
    for k, b in enumerate(SPREADS_C):
        own = np.linalg.inv(tube + np.eye(n_numbers) / b**2)
        carry = cross @ own
        left = r[unit] - carry @ r[n_units:]
        values, vectors = np.linalg.eigh(matrix[unit, unit] - carry @ cross.T)
        shifted = np.maximum(values, 0.0) + SPREADS_C[:, None] ** -2.0
        units = ((vectors.T @ left) / shifted) @ vectors.T
        numbers = own @ r[n_units:] - units @ carry
        means[:, k] = np.hstack((units, numbers))
        log_det = np.linalg.slogdet(own)[1] - np.log(shifted).sum(axis=1)
        log_p[:, k] = 0.5 * (log_det + means[:, k] @ r)
        parts.append((own, carry, vectors, shifted))
    log_prior = -0.5 * (np.log(SPREADS_C / PRIOR_SCALE_C) / PRIOR_WIDTH) ** 2
    log_p += (log_prior - n_units * np.log(SPREADS_C))[:, None] + log_prior - n_numbers * np.log(SPREADS_C)
    p = np.exp(log_p - log_p.max())
    p /= p.sum()
    effects = np.einsum("ab,abe->e", p, means)
    away = (means - effects).reshape(-1, r.size)
    covariance = (p.reshape(-1, 1) * away).T @ away
    for k, (own, carry, vectors, shifted) in enumerate(parts):
        units = vectors @ ((p[:, k] / shifted.T).sum(axis=1)[:, None] * vectors.T)
        between = units @ carry
        covariance[unit, unit] += units
        covariance[unit, n_units:] -= between
        covariance[n_units:, unit] -= between.T
        covariance[n_units:, n_units:] += p[:, k].sum() * own + carry.T @ between
    return p, effects * scale, covariance * np.outer(scale, scale)
