"""Evidence that may be looked at after every session without raising the share of false alarms.

An e-value is a likelihood ratio averaged over alternatives. While nothing is planted its expectation stays at
most one however often one looks, so that the chance that it ever exceeds 1/alpha is at most alpha.

References
----------
Ville (1939), Etude critique de la notion de collectif, ch. 5; Shafer, Shen, Vereshchagin and Vovk (2011),
Statistical Science 26:84 (test martingales, Bayes factors and p-values).
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from scipy.special import logsumexp

Floats = npt.NDArray[np.float64]

#: False alarms of one class over a run, all teams, habits and looks together (rule of this tool).
CLASS_BUDGET = 0.005
#: Shares of readings in which a habit may act that the alternatives try.
SHARES = np.array([0.1, 0.2, 0.35, 0.5, 0.7, 0.9, 0.98])


def log_e(hit: Floats, miss: Floats) -> Floats:
    """Return the running log e-value.

    Parameters
    ----------
    hit : ndarray, shape (n,)
        Likelihood of each reading if the habit acted on it, over its likelihood if honest.
    miss : ndarray, shape (n,)
        The same for a reading the habit did not act on (mostly 1).

    Returns
    -------
    ndarray, shape (n,)
        After each reading.
    """
    if hit.size == 0:
        return np.zeros(0)
    ratio = SHARES[:, None] * hit + (1.0 - SHARES[:, None]) * miss
    running = np.cumsum(np.log(np.maximum(ratio, 1e-300)), axis=1)
    return np.asarray(logsumexp(running, axis=0) - np.log(SHARES.size))


def log_e_counts(happened: Floats, usual: Floats | float) -> Floats:
    """Return the running log e-value of a yes-or-no trace against its usual chance.

    Parameters
    ----------
    happened : ndarray, shape (n,)
        1 where the trace shows, 0 where not, or a probability between.
    usual : ndarray or float
        Chance that it shows in an honest reading; the habit makes it certain.
    """
    chance = np.broadcast_to(np.asarray(usual, dtype=np.float64), happened.shape)
    hit = happened / chance
    miss = np.ones(happened.size)
    return log_e(hit, miss)


def log_limit(teams: int, habits: int) -> float:
    """Return the log e-value beyond which one habit of one team is found, within the class's budget."""
    return float(np.log(max(teams, 1) * habits / CLASS_BUDGET))


def probability(log_e_value: float, prior: float) -> float:
    """Return the posterior probability of a habit from its e-value as Bayes factor and a prior."""
    odds = np.log(prior / (1.0 - prior)) + log_e_value
    return float(1.0 / (1.0 + np.exp(-np.clip(odds, -500, 500))))
