"""Gaps: parts of an opening that stay dark while the sun is out: leaves, a post, a corner of the roof.

A dark stretch within an opening is a cloud's or the opening's own. Each day weighs the two by a chain in
which sun and cloud, and light and dark, take turns under a dull, a mixed and a clear sky. Unlike a cloud a
gap is there again on the next clear day at the same azimuth; it holds only for the strip of sky that the sun
crossed: what one day says loses weight from day to day, and a day's own word stands before its neighbours'.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from station.place.openings import Path
from station.place.passage import sky_turns, sky_weights
from station.place.reading import log_odds
from station.place.windows import runs

Array = NDArray[np.float64]

#: Log odds, at the most, that a cell of an opening is light, before gaps are sought (tuned; 3 does as well);
#: what a day by itself can add or take away (light once seen has to outweigh both neighbours a tenth of a
#: degree away; 4 to 9 score alike).
LIGHT, MOST = 2.0, 9.0
#: Chance a minute of a gap's begin and end as far as one day goes: gap and cloud start even (tuned).
CHANGE_MIN = 0.07
#: What one day says of another fades by a factor e for so much of noon elevation [degrees] (tuned: twice a
#: branch's, for clear days tell of an edge that lines place wrong; with 5 a day's own light would yield).
HANDED_DEG = 2.4
#: Days beyond the record see the gaps of a recorded one whose noon is this near [degrees] (a branch).
REACH_DEG = 1.2
#: The chain's word on a cell is taken this far (0.9 and 0.99 do as well on tuning sites).
TRUSTED = 0.97
#: A gap of ten minutes looks shorter, for its edges are soft; what is lit for so little between gaps is dark
#: [min].
HOLE_MIN, SHORTEST_MIN = 8.0, 10.0
#: Chance of dark where light is too brief to be counted on: just over a half, for at a half the calendar's
#: other small chances made it open.
BRIEF = 0.55


def gaps(lit: Array, open_: Array, out: Array, looked: NDArray[np.bool_], path: Path, step: int) -> Array:
    """Return the chance that each cell of the openings is dark in spite of them, shape (d, m).

    Gaps of under ten minutes are left out; what is lit for a few minutes between gaps is rather dark.

    Parameters
    ----------
    lit
        Probability that sun warmed the probe by about a degree or more, shape (d, m).
    open_
        Chance of lying within an opening, same shape.
    out
        Chance that the sun was out, same shape.
    looked
        Where something was recorded and no cloud is known, same shape.
    path
        The sun's way on the same grid.
    step
        Minutes of a column.
    """
    inside = open_ > 0.5
    dark = np.zeros(open_.shape)
    columns = np.flatnonzero(inside.any(axis=0))
    if not len(columns):
        return dark
    part = slice(columns[0], columns[-1] + 1)
    looked = looked & inside
    sky = (out * looked).sum(axis=1) / np.maximum(looked.sum(axis=1), 1)
    own = np.zeros(open_.shape)
    own[:, part] = _own(np.where(looked, lit, 0.5)[:, part], sky_weights(sky), step)
    own = np.where(looked, np.clip(own, -MOST, MOST), 0.0)
    odds = np.minimum(log_odds(open_), LIGHT) + own + _from_others(own, path)
    lasting = np.zeros(open_.shape, bool)
    for row, light in enumerate(inside & (odds > 0)):
        for a, b in runs(light, round(HOLE_MIN / step), max(round(SHORTEST_MIN / step), 1)):
            lasting[row, a:b] = True
    dark = 1 / (1 + np.exp(np.clip(odds, -20, 20)))
    return np.where(inside & ~lasting, np.maximum(dark, BRIEF), 0.0)


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


def _own(lit: Array, weights: Array, step: int) -> Array:
    """Return the log odds of light against dark as each day by itself sees them, shape (d, m).

    The four states: dark under cloud and sun, light under cloud and sun; the last alone lights the probe.
    ``weights`` are the chances of the skies, shape (d, 3).
    """
    d, m = lit.shape
    change = min(CHANGE_MIN * step, 0.5)
    shutter = np.array([[1 - change, change], [change, 1 - change]])
    moves, starts = [], []
    for sun, come, gone in zip(*sky_turns(step), strict=True):
        moves.append(np.kron(shutter, [[1 - come, come], [gone, 1 - gone]]))
        starts.append(np.kron([0.5, 0.5], [1 - sun, sun]))
    move, now = np.array(moves), np.repeat(np.array(starts)[:, None], d, axis=1)
    shone = np.clip(lit, 1 - TRUSTED, TRUSTED)
    seen = np.stack([1 - shone, 1 - shone, 1 - shone, shone], axis=2)
    forward, fit = np.empty((m, *now.shape)), np.log(weights.T)
    for j in range(m):
        now = (now @ move if j else now) * seen[:, j]
        total = now.sum(axis=2, keepdims=True)
        now, fit = now / total, fit + np.log(total[:, :, 0])
        forward[j] = now
    back = np.ones(now.shape)
    for j in range(m - 1, -1, -1):
        forward[j] *= back
        back = (back * seen[:, j]) @ move.transpose(0, 2, 1)
        back /= back.sum(axis=2, keepdims=True)
    light = forward[..., 2:].sum(axis=3) / forward.sum(axis=3)
    share = np.exp(fit - fit.max(axis=0))
    return log_odds(np.einsum("kd,mkd->dm", share / share.sum(axis=0), light))


def _from_others(own: Array, path: Path) -> Array:
    """Return what the other days say of each cell, handed on from noon to noon by azimuth, shape (d, m)."""
    noon = path.elevation.max(axis=1)
    order = np.argsort(noon, kind="stable")
    told = np.zeros(own.shape)
    for sequence in (order, order[::-1]):
        heard = np.zeros(own.shape[1])
        for before, row in pairwise(sequence):
            same = 0.5 + 0.5 * float(np.exp(-abs(noon[row] - noon[before]) / HANDED_DEG))
            said = np.exp(np.clip(heard + own[before], -30, 30))
            passed = np.log((same * said + 1 - same) / ((1 - same) * said + same))
            heard = np.interp(path.azimuth[row], path.azimuth[before], passed)
            told[row] += heard
    return told
