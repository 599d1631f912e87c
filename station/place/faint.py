"""Faint sun: a second look, at all days together, before a place is called shaded.

A sun that warms by little more than a degree is lost in one day's eddies. But its window opens and closes
where the sky says so: the days can be laid on each other and averaged, and what is left stands several times
its scatter above the shade just before and after it. A door's warmth stands there, too; it keeps to the
clock and to school days, and does not ask how clear they were. A place in the sun all day has no edges; there
broken cloud makes the record restless, on one day far more than on the usual one. And where each day's
record begins or ends in the sun, one edge has to do. None finds times or warmth well enough for an answer of
its own: they only forbid "shaded".
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from station.place.background import running_median
from station.place.openings import Path, when_at_azimuth, when_at_elevation

Array = NDArray[np.float64]
Columns = NDArray[np.intp]
Counts = tuple[tuple[float, float], ...]

#: Shade before and after a stretch that is compared with it; the sun's disc passes an edge, and the probe
#: follows, within so long [min] (tuned: 16 to 30, and 3.5 to 5, do about as well).
SIDE_MIN, EDGE_MIN = 20.0, 4.0
#: How shaded air wanders: its eddies keep together so long [min]; such a share of their variance is each
#: column's own, and by such a share the air drifts in a minute (tuned; half and twice do a little worse).
EDDY_MIN, OWN, DRIFTS = 8.0, 0.1, 0.05
#: Lengths that are tried [min]: the shortest stretch that counts with what the probe's lag adds, and up to
#: those of which each edge by itself looks like one.
LENGTHS_MIN = (14.0, 18.0, 24.0, 32.0)
#: The same where the record holds one edge alone, near an end of its hours [min].
ENDS_MIN = (10.0, 14.0, 20.0)
#: The least scatter of a contrast: the probe's own steps [degC].
SCATTER_C = 0.05
#: A single day's contrast counts at most as this many scatters, and adds at most so much to what the other
#: days together say: a hand on the probe, a front.
MOST_OF_A_DAY, ADDED_BY_ONE = 4.0, 1.0
#: What lasts less, a door or a hand, is taken out first; the shortest stretch that counts keeps its middle
#: [min].
LASTING_MIN = 10.0
#: In two weeks the sun drifts by the clock: a door is sought so near a stretch, too [min].
DRIFT_MIN = 10.0
#: Eddies of shaded air grow with the sun's height; this much is added to its sine (tuned).
CALM = 0.5
#: How restless the air is: steps over a straight line through so long on either side, without what lies
#: between [min], and the share of a day's steps below the one that tells: cloud moves most of them (tuned; by
#: the weights of a stretch fewer places in the sun stand out).
BESIDE_MIN, BETWEEN_MIN, MOSTLY = 12.0, 2.0, 0.6
#: A day with fewer contrasts tells nothing [min].
ENOUGH_MIN = 60.0


@dataclass(frozen=True)
class Limits:
    """What shaded air seldom makes at any of the times and lengths that are tried.

    ``counts``: a stretch counts from this contrast on with so many scatters above nothing [degC; scatters];
    a sun of a degree loses some of it where its days are weighed by skies that are only guessed. ``ends``:
    the same for one edge near an end of the hours. ``restless_c``: what the most restless day may be [degC].
    """

    counts: Counts
    ends: Counts
    restless_c: float


#: School hours alone hold fewer days and end in the sun, and of a place in the sun all day they show neither
#: its mornings nor how calm its nights are: less has to count (both tuned with the verdict).
WHOLE_DAYS = Limits(((0.75, 4.2), (0.6, 5.2)), (), 0.75)
SCHOOL_HOURS = Limits(((0.75, 3.6), (0.6, 4.2)), ((0.9, 3.3),), 0.65)


def stands_out(
    celsius: Array, path: Path, sky: Array, hours: NDArray[np.bool_], bell: NDArray[np.bool_],
    clock: Array, step: int, limits: Limits,
) -> bool:  # fmt: skip
    """Tell whether a stretch of school hours stands out above its shade that no door explains better.

    Parameters
    ----------
    celsius
        The record, degC, NaN where there is none, shape (d, m).
    path
        The sun's way on the same grid.
    sky
        Chance by row that the sun was out, shape (d,).
    hours
        School hours, shape (d, m).
    bell
        School days, shape (d,).
    clock
        Local clock of each row's first column, minutes, shape (d,).
    step
        Minutes of a column.
    limits
        What counts.
    """
    d, m = celsius.shape
    middle = int(np.argsort(path.elevation.max(axis=1))[d // 2])
    by_sun = _same_sky(path, middle)
    late = np.rint((clock - clock[middle]) / step).astype(np.intp)
    lasting = running_median(celsius, round(0.5 * LASTING_MIN / step))
    by_clock = np.clip(np.arange(m)[None, :] - late[:, None], 0, m - 1)
    school = hours[hours.any(axis=1)].mean(axis=0) > 0.5
    near = round(DRIFT_MIN / step)
    for contrast, scatter, asked, counts in _tried(lasting, path.elevation, school, step, limits):
        door, _ = _pooled(contrast, scatter, bell.astype(float), by_clock)
        door = sliding_window_view(np.pad(door, near, mode="edge"), 2 * near + 1).max(axis=1)
        for columns in by_sun:
            # Squared: the sun has to be out from the beginning of a stretch to its end.
            sun, warm = _pooled(contrast, scatter, sky**2, columns)
            enough = np.any([(warm >= least) & (sun >= above) for least, above in counts], axis=0)
            if np.any(enough & asked & (sun >= door)):
                return True
    return False


def _tried(
    lasting: Array, elevation: Array, school: NDArray[np.bool_], step: int, limits: Limits
) -> Iterator[tuple[Array, Array, NDArray[np.bool_], Counts]]:
    """Yield contrasts and their scatter, the columns at which enough of it is school, and what counts there.

    ``school`` are the columns of school hours, shape (m,).
    """
    for minutes in LENGTHS_MIN:
        length = _columns(minutes, step)
        contrast, scatter = _measured(lasting, elevation, step, length, _columns(SIDE_MIN, step))
        yield contrast, scatter, _enough(school, step, length), limits.counts
    for minutes in ENDS_MIN if limits.ends else ():
        length = _columns(minutes, step)
        for way in (1, -1):  # a stretch after its edge, and before
            contrast, scatter = _at_an_end(lasting[:, ::way], elevation[:, ::way], step, length)
            yield contrast[:, ::way], scatter, _enough(school[::way], step, length)[::way], limits.ends


def restless(celsius: Array, path: Path, step: int) -> float:
    """Return how restless the most restless day is, for its sun's height and against the usual day, degC.

    Shaded air is most restless on clear days, which are alike; a probe in the sun on the few of broken cloud.
    Only hours in which the sun stands high are asked; zero from fewer than three days.
    """
    top = path.elevation.max(axis=1)
    beside = _columns(BESIDE_MIN, step)
    at = np.arange(-beside, beside) + 0.5
    line = np.stack([np.ones(len(at)), at, at > 0], axis=1)
    line[np.abs(at) < BETWEEN_MIN / step] = 0  # not asked
    contrast = _slid(celsius, np.linalg.pinv(line)[-1], beside)
    days = []
    for row in range(len(celsius)):
        high = np.abs(contrast[row][path.elevation[row] > 0.5 * top[row]])
        high = high[np.isfinite(high)]
        if len(high) * step >= ENOUGH_MIN:
            days.append(float(np.quantile(high, MOSTLY)) / (CALM + float(np.sin(np.radians(top[row])))))
    return max(days) ** 2 / max(float(np.median(days)), SCATTER_C) if len(days) >= 3 else 0.0


def _measured(celsius: Array, elevation: Array, step: int, length: int, after: int) -> tuple[Array, Array]:
    """Return the height of a stretch from each column on, shape (d, m), and its scatter by row, (d, 1); degC.

    NaN where a value is missing.
    """
    found = _slid(celsius, _weights(step, length, after), _columns(SIDE_MIN, step))
    scatter = np.full((len(celsius), 1), np.nan)
    for row in range(len(celsius)):
        light = np.abs(found[row][elevation[row] > 3])
        light = light[np.isfinite(light)]
        if len(light) * step >= ENOUGH_MIN:
            scatter[row] = max(1.48 * float(np.median(light)), SCATTER_C)
    return found, scatter


def _slid(celsius: Array, weights: Array, before: int) -> Array:
    """Return the weighted sums around each column, ``before`` of the weights ahead of it; NaN at the ends."""
    found = np.full(celsius.shape, np.nan)
    if celsius.shape[1] >= len(weights):
        values = sliding_window_view(celsius, len(weights), axis=1) @ weights
        found[:, before : before + values.shape[1]] = values
    return found


def _weights(step: int, length: int, after: int) -> Array:
    """Return the weights by which values around a stretch tell its height over a straight line.

    The best linear estimate (generalised least squares; Aitken, Proc. Roy. Soc. Edinburgh 55, 1935, cited
    from memory) beside air that wanders as above. The height is that of a box or, without columns ``after``
    it, of a step; shape (before + length + after,).
    """
    side = _columns(SIDE_MIN, step)
    at = step * (np.arange(-side, length + after) + 0.5)
    box = np.clip(at / EDGE_MIN + 0.5, 0, 1)
    if after:
        box -= np.clip((at - step * length) / EDGE_MIN + 0.5, 0, 1)
    since = at - at[0]
    air = np.exp(-np.abs(at[:, None] - at) / EDDY_MIN) + OWN * np.eye(len(at))
    air += DRIFTS * np.minimum(since[:, None], since)
    shape = np.stack([np.ones(len(at)), since, box], axis=1)
    told = np.linalg.solve(air, shape)
    return np.asarray(np.linalg.solve(shape.T @ told, told.T)[-1])


def _at_an_end(celsius: Array, elevation: Array, step: int, length: int) -> tuple[Array, Array]:
    """Return the height of a step up at each column, shape (d, m), and its scatter by row, (d, 1).

    NaN where the record goes on beyond the stretch that begins there: then both its edges can be asked.
    """
    m, side = celsius.shape[1], _columns(SIDE_MIN, step)
    found, scatter = _measured(celsius, elevation, step, length, 0)
    so_far = np.concatenate([np.zeros((len(celsius), 1)), np.cumsum(np.isfinite(celsius), axis=1)], axis=1)
    first, last = (np.minimum(np.arange(m) + n, m) for n in (length, length + side))
    goes_on = so_far[:, last] - so_far[:, first] >= side
    return np.where(goes_on, np.nan, found), scatter


def _columns(minutes: float, step: int) -> int:
    return max(round(minutes / step), 2)


def _enough(school: NDArray[np.bool_], step: int, length: int) -> NDArray[np.bool_]:
    """Return the columns from which on a stretch holds ten minutes of school, shape (m,)."""
    so_far = np.concatenate([[0], np.cumsum(school)])
    ends = np.minimum(np.arange(len(school)) + length, len(school))
    return np.asarray((so_far[ends] - so_far[:-1]) * step >= 10)


def _pooled(contrast: Array, scatter: Array, weight: Array, columns: Columns) -> tuple[Array, Array]:
    """Return what all days say of a warmth that goes with ``weight``: scatters, and degC, each (m,)."""
    height = np.take_along_axis(contrast, columns, axis=1)
    known = np.isfinite(height) & np.isfinite(scatter)
    height = np.where(known, height, 0.0)
    share = np.where(known, weight[:, None] / np.where(known, scatter, 1.0), 0.0)
    told = share * np.clip(height / np.where(known, scatter, 1.0), -MOST_OF_A_DAY, MOST_OF_A_DAY)
    total, worth = told.sum(axis=0), (share**2).sum(axis=0)
    largest = np.argmax(told, axis=0)[None, :]
    others = total - np.take_along_axis(told, largest, axis=0)[0]
    rest = worth - np.take_along_axis(share, largest, axis=0)[0] ** 2
    above = np.minimum(_ratio(total, np.sqrt(worth)), _ratio(others, np.sqrt(rest)) + ADDED_BY_ONE)
    plain = np.where(known, weight[:, None], 0.0)
    return above, _ratio((plain * height).sum(axis=0), (plain**2).sum(axis=0))


def _ratio(a: Array, b: Array) -> Array:
    return np.asarray(np.divide(a, b, out=np.zeros_like(a), where=b > 1e-9))


def _same_sky(path: Path, row: int) -> tuple[Columns, Columns]:
    """Return where each day's sun stands as on one row: at its azimuth, and at its elevation, each (d, m).

    A day whose sun stays lower is laid by its azimuth there.
    """
    m, noon = path.azimuth.shape[1], int(path.noon[row])
    azimuth = when_at_azimuth(path, path.azimuth[row])
    morning = when_at_elevation(path, path.elevation[row, :noon], True, True)
    evening = when_at_elevation(path, path.elevation[row, noon:], True, False)
    reached = np.concatenate([morning < m, evening > 0], axis=1)
    elevation = np.where(reached, np.concatenate([morning, evening], axis=1), azimuth)

    def cells(at: Array) -> Columns:
        return np.clip(np.rint(at), 0, m - 1).astype(np.intp)

    return cells(azimuth), cells(elevation)
