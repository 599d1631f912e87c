"""Sun or door: a warm gust at the same clock time on school days looks like a window of sun.

Three things tell them apart: sun comes on clear days, a door on school days; sun's edges follow the sky
and drift against the clock; a door's warmth is short.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.special import betaln

from station.place.days import Days
from station.place.openings import Path
from station.place.windows import Window
from station.record.model import School, Site

Array = NDArray[np.float64]

#: Beta priors of how often a door stands open at its time: on school days, on others (common practice).
ON_SCHOOL_DAYS, ON_OTHER_DAYS = (8.0, 2.0), (0.3, 9.7)
#: How the sun's chance grows with the daily range of the air [log odds a degC], and its scatter at the mean.
PER_DEGREE, AT_MEAN = 0.5, 1.5
#: Odds of a door against sun before looking, for windows as short as a break and for longer ones [min].
SHORT_MIN, LONG_MIN = 12.0, 50.0
SHORT_ODDS, LONG_ODDS = 1.0, -8.0
#: How far around a window its edges are sought, how an edge scatters, the most one day counts [min].
AROUND_MIN, SCATTER_MIN, FARTHEST_MIN = 12, 3.0, 9.0


def door_log_odds(
    window: Window, lit: Array, span: Array, path: Path, days: Days, first: int, school: School, site: Site
) -> float:
    """Return log odds that a window is a door's and not the sun's.

    Parameters
    ----------
    window
        The window by row.
    lit
        Probability of being lit, shape (d, m).
    span
        Daily range of the air by row, degC, NaN where not known, shape (d,).
    path
        The sun's way on the same grid.
    days, first
        The whole grid and its first column here.
    school, site
        Which days are school days, and the clock.
    """
    length = float(np.median([b - a for a, b in window.rows.values()])) * days.step
    share = np.clip((length - SHORT_MIN) / (LONG_MIN - SHORT_MIN), 0, 1)
    odds = float(SHORT_ODDS + share * (LONG_ODDS - SHORT_ODDS))
    margin = round(AROUND_MIN / days.step)
    rows, starts, ends = [], [], []
    judged, shown, bell = [], [], []
    dates = days.dates(site)
    for row, (a, b) in sorted(window.rows.items()):
        if np.isfinite(days.celsius[row, first + a : first + b]).mean() < 0.7:
            continue
        judged.append(row)
        bell.append(dates[row].weekday() in school.weekdays and dates[row] not in school.closed)
        shown.append(bool(lit[row, a:b].max() > 0.5))
        around = slice(max(a - margin, 0), b + margin)
        inside = np.flatnonzero(lit[row, around] > 0.5) + around.start
        if shown[-1] and len(inside):
            rows.append(row)
            starts.append(_edge(days, row, first, int(inside[0]), -1))
            ends.append(_edge(days, row, first, int(inside[-1]) + 1, 1))
    odds += _pattern(np.array(shown, bool), np.array(bell, bool), span[judged])
    if len(rows) >= 3:
        offset = days.clock(site)[rows, 0]
        for edges in (np.array(starts), np.array(ends)):
            own = edges >= 0
            if own.sum() >= 3:
                odds += _clock_against_sky(np.array(rows)[own], edges[own], path, offset[own], days.step)
    return odds


def _edge(days: Days, row: int, first: int, column: int, side: int) -> int:
    """Return the column of an edge, -1 where it is only the end of what was recorded."""
    beyond = first + column + side * np.arange(0, 4)
    beyond = beyond[(beyond >= 0) & (beyond < days.celsius.shape[1])]
    return column if np.isfinite(days.celsius[row, beyond]).all() else -1


def _pattern(shown: NDArray[np.bool_], bell: NDArray[np.bool_], span: Array) -> float:
    """Return log odds of a door from the days on which the window showed.

    The door keeps to school days. The sun keeps to days on which the air warms much; how often it shines is
    left open.
    """
    if not len(shown):
        return 0.0
    door = 0.0
    for days, (yes, no) in ((bell, ON_SCHOOL_DAYS), (~bell, ON_OTHER_DAYS)):
        k, n = int((shown & days).sum()), int(days.sum())
        door += float(betaln(k + yes, n - k + no) - betaln(yes, no))
    warm = np.clip(np.nan_to_num(span - np.nanmean(span)) if np.isfinite(span).any() else 0 * span, -5, 5)
    base = np.linspace(-3.0, 3.0, 25)
    odds = base[:, None] + PER_DEGREE * warm[None, :]
    fit = -np.logaddexp(0, np.where(shown[None, :], -odds, odds)).sum(axis=1)
    weight = np.exp(-0.5 * (base / AT_MEAN) ** 2)
    sun = float(np.log(np.average(np.exp(fit - fit.max()), weights=weight)) + fit.max())
    return door - sun


def _clock_against_sky(
    rows: NDArray[np.intp], columns: NDArray[np.intp], path: Path, offset: Array, step: int
) -> float:
    """Return log odds of one edge being tied to the clock and not to the sky, from its scatter."""

    def scatter(minutes: Array) -> Array:
        return np.asarray(np.minimum(np.abs(minutes - np.median(minutes)), FARTHEST_MIN))

    m = path.azimuth.shape[1]
    at = np.minimum(columns, m - 1)
    clock = scatter(columns * step + offset)
    skies = []
    for angle in (path.azimuth, path.elevation):
        speed = np.gradient(angle, axis=1)[rows, at] / step
        usual = np.median(angle[rows, at])
        skies.append(
            np.minimum(np.abs((angle[rows, at] - usual) / np.where(speed == 0, 1e-3, speed)), FARTHEST_MIN)
        )
    sky = min(skies, key=lambda s: float(s.sum()))
    return float(np.clip((sky - clock).sum() / SCATTER_MIN, -4, 4))
