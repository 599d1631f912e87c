"""Sun or door: a warm gust at the same clock time on school days looks like a window of sun.

Three things tell them apart: sun comes on clear days, a door on school days; sun's edges follow the sky
and drift against the clock; a door's warmth is short.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from station.place.days import Days
from station.place.openings import Path
from station.place.windows import Window
from station.record.model import School, Site

Array = NDArray[np.float64]

#: A door stands open on this share of school days at its time, and of other days (common practice).
ON_SCHOOL_DAYS, ON_OTHER_DAYS = 0.85, 0.03
#: Odds of a door against sun before looking, for windows as short as a break and for longer ones [min].
SHORT_MIN, LONG_MIN = 12.0, 30.0
SHORT_ODDS, LONG_ODDS = 1.0, -4.0
#: How far around a window its edges are sought, how an edge scatters, the most one day counts [min].
AROUND_MIN, SCATTER_MIN, FARTHEST_MIN = 12, 3.0, 9.0


def door_log_odds(
    window: Window, lit: Array, sky: Array, path: Path, days: Days, first: int, school: School, site: Site
) -> float:
    """Return log odds that a window is a door's and not the sun's.

    Parameters
    ----------
    window
        The window by row.
    lit
        Probability of being lit, shape (d, m).
    sky
        Chance by row that the sun was out, judged without this window, shape (d,).
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
    dates = days.dates(site)
    for row, (a, b) in sorted(window.rows.items()):
        if np.isfinite(days.celsius[row, first + a : first + b]).mean() < 0.7:
            continue
        shown = float(np.clip(lit[row, a:b].max(), 0.02, 0.98))
        bell = dates[row].weekday() in school.weekdays and dates[row] not in school.closed
        door = ON_SCHOOL_DAYS if bell else ON_OTHER_DAYS
        sun = float(np.clip(sky[row], 0.05, 0.85))
        odds += float(
            np.log((shown * door + (1 - shown) * (1 - door)) / (shown * sun + (1 - shown) * (1 - sun)))
        )
        around = slice(max(a - margin, 0), b + margin)
        inside = np.flatnonzero(lit[row, around] > 0.5) + around.start
        if shown > 0.5 and len(inside):
            rows.append(row)
            starts.append(int(inside[0]))
            ends.append(int(inside[-1]) + 1)
    if len(rows) >= 3:
        offset = days.clock(site)[rows, 0]
        for columns in (np.array(starts), np.array(ends)):
            odds += _clock_against_sky(np.array(rows), columns, path, offset, days.step)
    return odds


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
