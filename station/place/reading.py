"""One reading of the days by the chain, given what is held of the sky, and what it says for every cell."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from station.place import chain
from station.place.background import sun_around
from station.place.ground import Ground

Array = NDArray[np.float64]

#: Evidence of one cell is trusted up to this log odds, and a little less than the chain says (tuned).
TRUST, MOST = 0.8, 4.0


@dataclass(frozen=True)
class Reading:
    """What one turn of the chain says, shapes (d, m) and (d, m, k): log evidence is for an open sky.

    ``gust`` and ``change`` are how it was read: a lit probe's scatter as a share of its excess, and the
    chance per step that this moves.
    """

    lit: Array
    levels: Array
    clear: Array
    evidence: Array
    fit: float
    steps: chain.Chain
    gust: float
    change: float


def read(
    ground: Ground,
    known: Array,
    clear: Array,
    scatter: Array,
    gust: float,
    change: float,
    shaded: NDArray[np.bool_],
    ladder: Array,
    before: tuple[NDArray[np.bool_], Array] | None = None,
) -> Reading:
    """Let the chain read every day, given the chance that the sky is open and the sun out.

    ``before``: where an earlier reading held the probe to be unlit, and what it held the excess to be [degC].
    While openings are sought (``before`` None) the sun comes and goes when a probe in the open says so. Once
    they are known the record itself tells better: a warm place is lit through thin cloud, too.
    """
    step, seen = ground.days.step, ground.seen
    low = (ground.path.elevation < 12) & (ground.path.elevation > -1)
    own = ground.by_itself(shaded)
    if before is not None:
        own += ground.by_the_shade(*before, gust)
        own -= own.max(axis=2, keepdims=True)
    steps = chain.evidence(ground.celsius, scatter, gust, low, own)
    told = ground.told if before is None and ground.told.any() else None
    out = np.clip(clear, 0.15, 0.95)
    if told is not None:
        out = np.where(told, ground.out, out)
    prior = np.where(ground.up, known * out, 1e-5)
    found = chain.smooth(steps, prior, np.where(ground.up, known, 1e-4), ladder, step, change, told)
    lit = found.probability
    clear = np.where(ground.told, ground.out, sun_out(ground.out, known, lit, seen, step))
    ratio = np.exp(np.clip(TRUST * (log_odds(lit) - log_odds(prior)), -MOST, MOST))
    evidence = np.where(seen, np.log(clear * ratio + 1 - clear), 0.0)
    return Reading(lit, found.levels, clear, evidence, found.log_evidence, steps, gust, change)


def sun_out(out: Array, known: Array, lit: Array, seen: NDArray[np.bool_], step: int) -> Array:
    """Return the chance that the sun was out around each cell: the day's, and what open cells showed."""
    weight = known**2 * seen
    return np.clip(sun_around(out, weight, lit, 15 / step, round(30 / step)), 0.05, 0.90)


def log_odds(p: Array) -> Array:
    """Return log odds, kept within one in ten thousand."""
    q = np.clip(p, 1e-4, 1 - 1e-4)
    return np.asarray(np.log(q / (1 - q)))


def chance(odds: Array) -> Array:
    """Return the chance of log odds, kept within one in a thousand and one in four hundred."""
    return np.asarray(1 / (1 + np.exp(-np.clip(odds, -7, 6))))
