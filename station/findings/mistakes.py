"""For each reading a probability over causes; rates are learnt from the class and from the team itself."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import logsumexp

from station.findings.evidence import Evidence
from station.findings.kinds import GROUPS
from station.findings.likelihood import log_likelihoods

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]
Cause = tuple[str, str]  # kind, side

#: Share of readings with each cause before anything is seen. No published rates were found; these are guesses
#: that the class's own readings soon outweigh.
BASE: Mapping[Cause, float] = {
    ("column", "up"): 0.012,
    ("column", "down"): 0.004,
    ("scales_swapped", ""): 0.004,
    ("same_scale_twice", ""): 0.003,
    ("minus_dropped", ""): 0.01,
    ("digits_transposed", "celsius"): 0.0015,
    ("digits_transposed", "fahrenheit"): 0.0015,
    ("ten_off", "celsius"): 0.004,
    ("ten_off", "fahrenheit"): 0.004,
    ("counted_wrong_way", "celsius"): 0.002,
    ("counted_wrong_way", "fahrenheit"): 0.002,
    ("small_marks", "celsius"): 0.0005,
    ("small_marks", "fahrenheit"): 0.002,
    ("copied_last_session", ""): 0.002,
    ("unexplained", "celsius"): 0.002,
    ("unexplained", "fahrenheit"): 0.002,
    ("unexplained", ""): 0.001,
    ("another_card", ""): 0.0005,  # never told of a single card; it explains pairs that fit another's column
}
#: How many readings the guesses above weigh against the class's own, and the class's against a team's own.
CLASS_WEIGHT, TEAM_WEIGHT = 300.0, 6.0
#: A cause is said from this probability; below, the reading "can't be told".
SAID = 0.8
#: Causes less probable than this are left out of a reading's list.
LISTED = 0.02
_ROUNDS = 8


@dataclass(frozen=True)
class Causes:
    """Posterior probabilities.

    ``kinds`` names the columns of ``p``, shape (readings, kinds): (kind, side), the first honest. ``rates``
    are the teams' rates of each kind, shape (teams, kinds); ``likelihood`` the log likelihoods and
    ``marginal`` their mixture. Rows without a value are NaN.
    """

    kinds: tuple[Cause, ...]
    p: Floats
    rates: Floats
    likelihood: Mapping[Cause, Floats]
    marginal: Floats

    def of(self, kind: str, side: str | None = None) -> Floats:
        """Return each reading's probability of a kind, over both sides unless one is given; 0 where NaN."""
        keep = [i for i, (k, s) in enumerate(self.kinds) if k == kind and side in (None, s)]
        return np.asarray(np.nan_to_num(self.p[:, keep].sum(axis=1)))

    @property
    def honest(self) -> Floats:
        """Return each reading's probability of no cause at all (NaN without a value)."""
        return self.p[:, 0]


def posterior(evidence: Evidence, bias: Floats, wander: Floats, scatter: Floats, rounds: Bools) -> Causes:
    """Return the probability of every cause of every reading.

    Parameters
    ----------
    evidence : Evidence
    bias, wander : ndarray, shape (n,)
        What is usual for the reading's team: bias against the class and standard deviation about it [degC].
    scatter, rounds : ndarray
        Scatter of one scale about the column [degC], and whether the team rounds to fives.

    Returns
    -------
    Causes
    """
    e = evidence
    table = log_likelihoods(e, bias, wander, scatter, rounds)
    kinds: tuple[Cause, ...] = (("", ""), *BASE)
    log_l = np.stack([table[key] for key in kinds], axis=1)
    base = np.array([1.0 - sum(BASE.values()), *BASE.values()])
    written = e.written
    quiet = np.array([kind == "column" or (kind == "unexplained" and not side) for kind, side in kinds])
    log_l[np.ix_(e.quiet, quiet)] = -np.inf
    teams = np.zeros((len(e.teams), e.c.size))
    teams[e.team[written], np.flatnonzero(written)] = 1.0
    n = teams.sum(axis=1, keepdims=True)
    rates = np.tile(base, (len(e.teams), 1))
    p = np.zeros_like(log_l)
    marginal = np.zeros(e.c.size)
    for _ in range(_ROUNDS if written.any() else 0):
        weight = log_l + np.log(rates[e.team])
        marginal = np.asarray(logsumexp(weight, axis=1))
        p = np.exp(weight - marginal[:, None])
        p[~written] = 0.0
        own = teams @ p
        # the class without the team itself, so that one team's pattern does not colour its neighbours
        others = (CLASS_WEIGHT * base + own.sum(axis=0) - own) / (CLASS_WEIGHT + n.sum() - n)
        others = np.minimum(others, np.maximum(2.0 * base, np.median(others, axis=0)))
        rates = (TEAM_WEIGHT * others + own) / (TEAM_WEIGHT + n)
    p[~written] = np.nan
    return Causes(kinds, p, rates, table, marginal)


def group_of(kind: str, side: str) -> str:
    """Return the group of a kind, by the side it fell on where it falls on one scale."""
    if kind == "column":
        return "column"
    if kind == "another_card":
        return ""
    if kind in ("ten_off", "counted_wrong_way", "small_marks", "unexplained") and side:
        return f"{side} side"
    return GROUPS[kind]
