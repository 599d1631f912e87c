"""Openings: between which lines of the sky a window lies, and when the sun passes them on any date.

The sun comes in over one edge and leaves over another. Each edge is the later (or earlier) of an upright
line, passed at one azimuth, and a level line, passed at one elevation. Both lines lie on a grid, and the
evidence of all days gives every pair of lines a weight; lines the sun never met keep the weight they had,
so that a forecast widens where the sun's path leaves what was seen.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from station.place.windows import Window

Array = NDArray[np.float64]

#: The record shows an edge this much later than the sun's middle passes its line [min]: the probe's lag, less
#: the half of the disc that already warms by a degree before (tuned; the two cancel).
LAG_IN_MIN, LAG_OUT_MIN = 0.0, -0.4
#: The record shows an edge this much off its line [min]: gusts, the sun's disc, haze; and with this chance
#: anywhere this near (tuned).
JITTER_MIN, STRAY, FARTHEST_MIN = 1.0, 0.05, 8.0
#: Days share their weather, and gusts last minutes: evidence counts a part, so that four of five limits hold
#: (tuned on forecasts).
TEMPER = 1.2
#: So near noon the sun may pass a level line on either side of it [min] (common sense).
NOON_MIN = 60.0
#: What an edge beyond the window's middle costs: as log evidence of one day, one for each step beyond, up to
#: this far [min] (a tie-break where the days say nothing; with 20, windows hardly shut).
CROSSED_MIN = 8.0
#: What is open for so long [min] is as likely open down to what stands near the horizon [degrees] as not
#: (common sense).
LONG_MIN, HORIZON_DEG = 300.0, 8.0
#: What surrounds a place in the sun all day is seldom high: its chance falls by a factor e for so many
#: degrees, because so low a sun warms slowly and the days hardly tell (tuned: with 1, 2 and 3 were 220, 214
#: and 249 edges over 5 minutes off, without 300).
STANDS_DEG = 2.0
#: A line that bounds the window on no day counts a part of one that does: which side of an opening bounds a
#: window is not told by how much sky lies beyond (tuned); it bounds none from so far beyond the edge [min].
FREE, FREE_MIN = 0.25, 10.0
#: So far around an edge's passages the time of a bell is sought [min] (common sense).
CLOCK_MIN = 30.0
#: How far around the window's edge lines are sought [min], and beyond it what the sun never met [degrees].
AROUND_MIN, BEYOND_DEG = 50.0, 24.0


@dataclass(frozen=True)
class Path:
    """The sun's way on several days, shape (d, m): azimuth unwrapped and rising, elevation, degrees."""

    azimuth: Array
    elevation: Array
    noon: NDArray[np.intp]

    @classmethod
    def of(cls, azimuth: Array, elevation: Array) -> Path:
        """Unwrap azimuths so that they rise along each day (mirrored where the sun runs through north)."""
        noon = np.argmax(elevation, axis=1)
        south = np.cos(np.radians(azimuth[np.arange(len(noon)), noon])).mean() < 0
        turned = azimuth if south else (180.0 - azimuth) % 360.0
        return cls(turned, elevation, noon)


@dataclass(frozen=True)
class Edge:
    """One edge of a window: weights over pairs of an upright and a level line, shape (a, e)."""

    entering: bool
    rising: bool
    azimuths: Array
    elevations: Array
    weights: Array

    def times(self, path: Path) -> tuple[Array, Array]:
        """Return when each line is passed, as columns: shapes (d, a) and (d, e)."""
        return (
            when_at_azimuth(path, self.azimuths),
            when_at_elevation(path, self.elevations, self.entering, self.rising),
        )

    def spread(self, path: Path, row: int, columns: int, later: float = 0.0) -> Array:
        """Return the chance that the edge is passed by each column of one day, shape (columns,).

        ``later`` moves its passages by so many columns.
        """
        upright, level = self.times(Path(path.azimuth[[row]], path.elevation[[row]], path.noon[[row]]))
        join = np.maximum if self.entering else np.minimum
        at = join(upright[0][:, None], level[0][None, :]) + later
        cell = np.clip(np.floor(at + 0.5), 0, columns).astype(np.int64)
        chance = np.bincount(cell.ravel(), self.weights.ravel(), columns + 1)
        return np.asarray(np.cumsum(chance)[:columns])


def when_at_azimuth(path: Path, azimuths: Array) -> Array:
    """Return the column at which each day passes each azimuth, shape (d, a)."""
    columns = np.arange(path.azimuth.shape[1], dtype=np.float64)
    found = np.empty((path.azimuth.shape[0], len(azimuths)))
    for row in range(path.azimuth.shape[0]):
        up = path.elevation[row] > -3
        found[row] = np.interp(azimuths, np.maximum.accumulate(path.azimuth[row][up]), columns[up])
    return found


def when_at_elevation(path: Path, elevations: Array, entering: bool, rising: bool) -> Array:
    """Return the column at which each day passes each elevation on the wanted side of noon, shape (d, e).

    A rising sun enters above a lower line, which a low sun never reaches; it leaves under an upper line,
    which binds only where it is reached. A sinking sun the other way round.
    """
    m = path.elevation.shape[1]
    found = np.empty((path.elevation.shape[0], len(elevations)))
    for row, noon in enumerate(path.noon):
        e = path.elevation[row]
        if rising:
            found[row] = np.interp(elevations, e[: noon + 1], np.arange(noon + 1.0))
            found[row][elevations > e[noon]] = m  # never in, or never out, over this line
        else:
            side = np.arange(noon, m, dtype=np.float64)
            found[row] = np.interp(elevations, e[noon:][::-1], side[::-1])
            found[row][elevations > e[noon]] = 0
    return found


def _grid(values: Array, fine: float, low: float, high: float) -> tuple[Array, Array]:
    """Return lines around the seen values and coarser ones beyond, with the width that each stands for."""
    first, last = float(values.min()), float(values.max())
    step = max(fine, (last - first) / 120)
    middle = np.arange(first, last + step, step)
    below = np.arange(first - 1.0, low, -1.0)[::-1]
    above = np.arange(middle[-1] + 1.0, high, 1.0)
    lines = np.concatenate([below, middle, above])
    width = np.concatenate([np.ones(len(below)), np.full(len(middle), step), np.ones(len(above))])
    return lines, width


def _blurred(likelihood: Array, step: int) -> Array:
    """Return the likelihood of passing a line at each column, when the record shows it a little off."""
    off = np.arange(-round(FARTHEST_MIN / step), round(FARTHEST_MIN / step) + 1)
    near = np.exp(-0.5 * (off * step / JITTER_MIN) ** 2)
    weight = (1 - STRAY) * near / near.sum() + STRAY / len(off)
    padded = np.pad(likelihood, ((0, 0), (len(off) // 2, len(off) // 2)), mode="edge")
    parts = [padded[:, i : i + likelihood.shape[1]] + np.log(w) for i, w in enumerate(weight)]
    return np.asarray(np.logaddexp.reduce(parts, axis=0))


def fit_edge(
    likelihood: Array,
    first: NDArray[np.intp],
    path: Path,
    window: Window,
    entering: bool,
    step: int,
    around: int,
    horizon_deg: float | None = None,
) -> Edge:
    """Weigh the lines of one edge by what all days say of it.

    Parameters
    ----------
    likelihood
        Log likelihood of each column as the edge, by row of the window, shape (rows, w).
    first
        Column of the grid at which each row of it starts.
    path
        The sun's way on the same grid.
    window
        Where the edge was seen, by row.
    entering
        True for the edge over which the sun comes in.
    step
        Minutes of a column.
    around
        How far around the edge as seen it is sought, columns.
    horizon_deg
        Nothing but a level line under this [degrees], rather a low one, bounds the window; None if anything
        may.
    """
    m = path.azimuth.shape[1]
    rows = np.array(sorted(window.rows))
    bounds = np.array([window.rows[r] for r in rows.tolist()])
    middle = bounds.mean(axis=1).astype(np.int64)
    edge = bounds[:, 0] if entering else bounds[:, 1]
    after_noon = float(np.median(edge - path.noon[rows])) * step
    near = np.clip(np.stack([edge - around, edge + around], axis=1), 0, m - 1)
    azimuths, a_width = _grid(
        path.azimuth[rows[:, None], near], 0.2 * step / 2,
        float(path.azimuth[rows[:, None], near].min()) - BEYOND_DEG,
        float(path.azimuth[rows[:, None], near].max()) + BEYOND_DEG,
    )  # fmt: skip
    seen = path.elevation[rows[:, None], near]
    lowest = -3.0 if horizon_deg is not None else max(float(seen.min()) - BEYOND_DEG, -3.0)
    elevations, e_width = _grid(seen, 0.1 * step / 2, lowest, min(float(seen.max()) + BEYOND_DEG, 90.0))
    if horizon_deg is not None:
        azimuths = np.array([path.azimuth.min() - 1.0 if entering else path.azimuth.max() + 1.0])
        lower = e_width * np.exp(-np.maximum(elevations, 0.0) / STANDS_DEG)
        a_width, e_width = np.ones(1), np.where(elevations < horizon_deg, lower, 0.0)
    some = Path(path.azimuth[rows], path.elevation[rows], path.noon[rows])
    upright = when_at_azimuth(some, azimuths)
    blurred = _blurred(likelihood, step)
    join = np.maximum if entering else np.minimum
    lag = (LAG_IN_MIN if entering else LAG_OUT_MIN) / step

    long = horizon_deg is None and np.median(bounds[:, 1] - bounds[:, 0]) * step >= LONG_MIN
    near_horizon = elevations < (HORIZON_DEG if long else -np.inf)

    def free(at: Array) -> NDArray[np.bool_]:
        beyond = edge[:, None] - at if entering else at - edge[:, None]
        return np.asarray(beyond.min(axis=0) > FREE_MIN / step)

    def weighed(rising: bool) -> Array:
        level = when_at_elevation(some, elevations, entering, rising)
        score = np.zeros((len(azimuths), len(elevations)))
        for i in range(len(rows)):
            at = join(upright[i][:, None], level[i][None, :]) + lag
            low, high = (edge[i] - around, bounds[i, 1]) if entering else (bounds[i, 0], edge[i] + around)
            within = np.clip(at, max(low, 0), min(high, m))
            score += np.interp(within - first[i], np.arange(likelihood.shape[1]), blurred[i])
            # Where the days say nothing an edge stays on its own side of the window's middle.
            wrong = np.clip(at - middle[i] if entering else middle[i] - at, 0.0, CROSSED_MIN / step)
            score -= wrong / len(rows)
        return score / TEMPER + _prior(a_width, free(upright), e_width, free(level), near_horizon)

    sides = [side for side, sign in ((True, 1), (False, -1)) if sign * after_noon < NOON_MIN]
    if horizon_deg is not None:
        sides = [entering]
    # Near noon a level line may be passed by the rising or the sinking sun: the days decide.
    rising, log = max(((side, weighed(side)) for side in sides), key=lambda found: _total(found[1]))
    weights = np.exp(log - log.max())
    return Edge(entering, rising, azimuths, elevations, weights / weights.sum())


def clock_log_odds(
    likelihood: Array, first: NDArray[np.intp], at: NDArray[np.intp], clock: Array, step: int
) -> float:
    """Return the log odds that an edge keeps to one time of the clock and not to its place in the sky.

    Both are taken at their best.

    Parameters
    ----------
    likelihood, first, step
        As for ``fit_edge``.
    at
        Column by which each row has passed the edge's lines as likely as not, shape (rows,).
    clock
        Local time of all columns on these rows [min], shape (rows, m).
    """
    columns = np.arange(likelihood.shape[1], dtype=np.float64)
    passed = clock[np.arange(len(at)), np.minimum(at, clock.shape[1] - 1)]
    bells = np.arange(passed.min() - CLOCK_MIN, passed.max() + CLOCK_MIN + 1)
    sky = by_clock = np.zeros(1)
    for i, told in enumerate(_blurred(likelihood, step)):
        sky = sky + np.interp(at[i] - first[i], columns, told)
        by_clock = by_clock + np.interp((bells - clock[i, 0]) / step - first[i], columns, told)
    return float(by_clock.max() - sky[0])


def _prior(
    a_width: Array,
    a_free: NDArray[np.bool_],
    e_width: Array,
    e_free: NDArray[np.bool_],
    low: NDArray[np.bool_],
) -> Array:
    """Return the log weight of each pair of lines before the days are asked, shape (a, e).

    A line weighs what it stands for, less if it is free: if it bounds the window on no day. Openings that
    only a ``low`` level line bounds weigh as much as all others together.
    """
    mass = np.outer(a_width * np.where(a_free, FREE, 1.0), e_width * np.where(e_free, FREE, 1.0))
    horizon = np.outer(a_free, low)
    if horizon.any():
        mass[horizon] *= mass[~horizon].sum() / mass[horizon].sum()
    with np.errstate(divide="ignore"):
        return np.asarray(np.log(mass))


def _total(log: Array) -> float:
    return float(log.max() + np.log(np.exp(log - log.max()).sum()))
