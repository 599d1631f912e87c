"""Heights: a level line over or under an opening, told by all of its cells and days together.

An edge is sought at its own end of a window. What the sun passes behind at noon, or what shuts a window
altogether while the sun stands highest, shows in the middle of windows and on days without one: there a
line at one elevation explains many dark cells at once, on both sides of noon and on every day.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from station.place.passage import sky_turns, sky_weights

Array = NDArray[np.float64]

#: Chance that no such line bounds an opening besides its edges; from which chance on one is drawn (tuned: 0.8
#: and 0.8 score alike; where a line is drawn from 0.3 on, or 0.8 and 0.5, sites that were right lose).
NONE, SURE = 0.9, 0.5
#: A line leaves so much of the light that was read between the edges (that the opening is one was judged
#: before; tuned), and shuts out so much sun on a day [min], or an edge does as well (tuned: 0, 10, 20).
LEFT, LEAST_MIN = 0.9, 10.0
#: Lines are sought so close together, and at the most so many [degrees] (half as far apart scores alike).
STEP_DEG, MOST = 0.1, 60
#: The chain's word on a cell is taken this far (as for gaps).
TRUSTED = 0.97
#: Chance a minute that something else warms the probe, and that it ends: a door in the dark part of an
#: opening would forbid the line there (tuned).
EVENT_MIN, OVER_MIN = 0.001, 0.1


@dataclass(frozen=True)
class Bound:
    """A level line that bounds an opening from ``above`` or below: where it may lie [degrees], weights."""

    above: bool
    elevations: Array
    weights: Array

    def inside(self, elevation: Array) -> Array:
        """Return the chance that the sun at these elevations [degrees] is on the open side, same shape."""
        passed = np.interp(elevation, self.elevations, np.cumsum(self.weights), left=0.0)
        return np.asarray(1 - passed if self.above else passed)


def find_bounds(
    lit: Array,
    inside: NDArray[np.bool_],
    out: Array,
    looked: NDArray[np.bool_],
    elevation: Array,
    step: int,
) -> tuple[Bound, ...]:
    """Return the level lines that bound an opening besides its edges, at most one above and one below.

    Parameters
    ----------
    lit
        Probability that sun warmed the probe by about a degree or more, shape (d, m).
    inside
        Where the sun stands between the opening's edges, same shape.
    out
        Chance that the sun was out, same shape.
    looked
        Where something was recorded and no cloud is known, same shape.
    elevation
        Of the sun, same shape [degrees].
    step
        Minutes of a column.
    """
    looked = looked & inside
    if not looked.any():
        return ()
    light, sun = np.where(looked, lit, 0.0), np.where(looked, out, 0.0)
    skies = np.log(sky_weights(sun.sum(axis=1) / np.maximum(looked.sum(axis=1), 1)))
    low, high = float(elevation[looked].min()), float(elevation[looked].max())
    lines = np.arange(low, high, max(STEP_DEG, (high - low) / MOST))
    bounds = []
    for above in (True, False):
        # The last way has no such line.
        limits = np.append(lines, np.inf if above else -np.inf)[:, None, None]
        shut = elevation > limits if above else elevation < limits
        days = np.logaddexp.reduce(_fits(lit, looked, shut, step) + skies, axis=2)
        log = days.sum(axis=1) + np.log(np.append(np.full(len(lines), (1 - NONE) / len(lines)), NONE))
        log[(light * ~shut).sum(axis=(1, 2)) < LEFT * light.sum()] = -np.inf
        log[:-1][(sun * shut[:-1]).sum(axis=2).max(axis=1) < LEAST_MIN / step] = -np.inf
        weights = np.exp(log - log.max())
        if weights[:-1].sum() > SURE * weights.sum():
            bounds.append(Bound(above, lines, weights[:-1] / weights[:-1].sum()))
    return tuple(bounds)


def _fits(lit: Array, looked: NDArray[np.bool_], shut: NDArray[np.bool_], step: int) -> Array:
    """Return the log likelihood of each day under each sky, if the cells ``shut`` are dark: (n, d, skies).

    The three states: cloud, sun, and a warm event; the sun lights the probe where it is not shut out, an
    event anywhere. ``shut`` has shape (n, d, m).
    """
    begin, over = EVENT_MIN * step, min(OVER_MIN * step, 1.0)
    moves, starts = [], []
    for sun, come, gone in zip(*sky_turns(step), strict=True):
        start = np.array([1 - sun, sun])
        turn = (1 - begin) * np.array([[1 - come, come], [gone, 1 - gone]])
        moves.append(np.block([[turn, np.full((2, 1), begin)], [over * start, np.array([1 - over])]]))
        starts.append(np.append((1 - begin) * start, begin))
    move = np.array(moves)
    shone = np.clip(lit, 1 - TRUSTED, TRUSTED)
    light, dark = np.where(looked, shone, 1.0), np.where(looked, 1 - shone, 1.0)
    now = np.broadcast_to(np.array(starts), (*shut.shape[:2], *np.shape(starts)))
    fit = np.zeros(now.shape[:3])
    columns = np.flatnonzero(looked.any(axis=0))
    for j in range(columns[0], columns[-1] + 1):
        if j > columns[0]:
            now = np.einsum("ndks,kst->ndkt", now, move)
        sunlit = np.where(shut[:, :, j], dark[:, j], light[:, j])
        own = np.stack([np.broadcast_to(dark[:, j], sunlit.shape), sunlit,
                        np.broadcast_to(light[:, j], sunlit.shape)], axis=2)  # fmt: skip
        now = now * own[:, :, None]
        total = now.sum(axis=3, keepdims=True)
        now, fit = now / total, fit + np.log(total[..., 0])
    return np.asarray(fit)
