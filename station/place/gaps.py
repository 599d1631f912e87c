"""Gaps: parts of an opening that stay dark while the sun is out: leaves, a post, a corner of the roof.

Unlike a cloud a gap is there again on the next clear day at the same place of the sky; unlike an edge it
holds only for the strip of sky that the sun crossed, so it reaches few degrees to other dates.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from station.place.background import box
from station.place.openings import Path
from station.place.skymap import carry
from station.place.windows import HOLE_MIN, SHORTEST_MIN, runs

Array = NDArray[np.float64]

#: A gap on one day tells of days whose noon lies this near [degrees] (the width of a branch; tuned).
REACH_DEG = 1.2
#: Share of an opening that is dark, and how often a dark cell still looks lit (tuned).
DARK, SEEN_LIT = 0.3, 0.05
#: Clouds last: this many minutes without sun count as one look [min]; a gap or what lies between begins with
#: this chance a minute.
LOOK_MIN, CHANGE_MIN = 3.0, 0.05
#: How far around the sun is asked whether it was out [min].
AROUND_MIN = 30.0


def gaps(lit: Array, open_: Array, out: Array, seen: NDArray[np.bool_], path: Path, step: int) -> Array:
    """Return the chance that each cell of the openings is dark in spite of them, shape (d, m).

    Gaps of under ten minutes are left out; what is lit for a few minutes between gaps counts as dark.

    Parameters
    ----------
    lit
        Probability that sun reached the probe.
    open_
        Chance of lying within an opening.
    out
        Chance that the sun was out, by the day's air.
    seen
        Where something was recorded.
    path
        The sun's way.
    step
        Minutes of a column.
    """
    inside = (open_ > 0.5) & seen
    noon = path.elevation.max(axis=1)
    between = np.exp(-np.abs(noon[:, None] - noon[None, :]) / REACH_DEG)
    half, worth = round(AROUND_MIN / step), 10 / step
    dark = np.where(open_ > 0.5, DARK, 0.0)
    for _ in range(3):
        weight = inside * (1 - dark) ** 2
        sun = (worth * out + box(weight * lit, half)) / (worth + box(weight, half))
        sun = np.clip(sun, 0.05, 0.95)
        told = (lit * sun + (1 - lit) * (1 - sun)) / (lit * SEEN_LIT + (1 - lit) * (1 - SEEN_LIT))
        evidence = np.where(inside, np.log(told), 0.0) * min(step / LOOK_MIN, 1.0)
        dark = np.where(
            open_ > 0.5, _smoothed(carry(evidence, path.azimuth, path.elevation, between), step), 0.0
        )
    lasting = np.zeros(inside.shape, bool)
    for row, light in enumerate((open_ > 0.5) & (dark < 0.5)):
        for a, b in runs(light, round(HOLE_MIN / step), max(round(SHORTEST_MIN / step), 1)):
            lasting[row, a:b] = True
    return np.where((open_ > 0.5) & ~lasting, np.maximum(dark, 0.5), 0.0)


def gaps_elsewhere(dark: Array, path: Path, target: Path) -> Array:
    """Return the gaps as other days see them, shape (t, n): those of the recorded day with the nearest noon.

    Parameters
    ----------
    dark
        From ``gaps``, on the days of ``path``.
    path, target
        The sun's way on the recorded and on the other days.
    """
    noon = path.elevation.max(axis=1)
    found = np.zeros(target.azimuth.shape)
    for row, top in enumerate(target.elevation.max(axis=1)):
        near = int(np.argmin(np.abs(noon - top)))
        if abs(noon[near] - top) < REACH_DEG:
            found[row] = np.interp(target.azimuth[row], path.azimuth[near], dark[near])
    return found


def _smoothed(evidence: Array, step: int) -> Array:
    """Return the chance of dark from log evidence for light, along each row: what is dark lasts minutes."""
    d, m = evidence.shape
    change = CHANGE_MIN * step
    stay = np.array([[1 - change * DARK / (1 - DARK), change * DARK / (1 - DARK)], [change, 1 - change]])
    emission = np.stack([np.exp(np.clip(evidence, -20, 20)), np.ones((d, m))], axis=2)
    forward = np.empty((d, m, 2))
    now = np.tile([1 - DARK, DARK], (d, 1))
    for j in range(m):
        now = (now @ stay if j else now) * emission[:, j]
        now /= now.sum(axis=1, keepdims=True)
        forward[:, j] = now
    back = np.ones((d, 2))
    for j in range(m - 1, -1, -1):
        forward[:, j] *= back
        back = (emission[:, j] * back) @ stay.T
        back /= back.sum(axis=1, keepdims=True)
    return np.asarray(forward[:, :, 1] / forward.sum(axis=2))
