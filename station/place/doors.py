"""Sun or door: a warm gust at the same clock time on school days looks like a window of sun.

Three things tell them apart: sun comes on clear days, a door on school days; a door's warmth is short; and it
brings the probe only part of the way to the room, so that none comes on a warm day. The clock itself tells
little: in two weeks the sun keeps to it within minutes (tried: edges tied to the clock against edges tied to
the sky).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.special import betaln

from station.place.days import Days
from station.place.windows import Window
from station.record.model import School, Site

Array = NDArray[np.float64]

#: Beta priors of how often a door stands open at its time: on school days, on others (common practice).
ON_SCHOOL_DAYS, ON_OTHER_DAYS = (8.0, 2.0), (0.3, 9.7)
#: How the sun's chance grows with the daily range of the air [log odds a degC], and its scatter at the mean.
PER_DEGREE, AT_MEAN = 0.5, 1.5
#: Log odds of a door before looking, less for each e-fold of the window's length [min], and how much the days
#: count, which are not independent (fitted on invented sites apart).
DOORS, BY_LENGTH, PATTERN = 3.2, 1.17, 0.42
#: A draught brings the probe no farther than this from the air to the room; else it is hardly a door's.
MOST_SHARE, TOO_WARM = 0.5, 5.0


def door_log_odds(
    window: Window,
    lit: Array,
    span: Array,
    days: Days,
    first: int,
    school: School,
    site: Site,
    level: Array,
    indoor_c: float,
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
    days, first
        The whole grid and its first column here.
    school, site
        Which days are school days, and the clock.
    level
        Expected excess where lit, shape (d, m), degC.
    indoor_c
        Temperature of the room behind the door, degC.
    """
    length = float(np.median([b - a for a, b in window.rows.values()])) * days.step
    odds = DOORS - BY_LENGTH * float(np.log(length))
    celsius = days.celsius[:, first : first + lit.shape[1]]
    if _share(window, lit, level, celsius, indoor_c) > MOST_SHARE:
        odds -= TOO_WARM
    judged, shown, bell = [], [], []
    dates = days.dates(site)
    for row, (a, b) in sorted(window.rows.items()):
        if np.isfinite(days.celsius[row, first + a : first + b]).mean() < 0.7:
            continue
        judged.append(row)
        bell.append(dates[row].weekday() in school.weekdays and dates[row] not in school.closed)
        shown.append(bool(lit[row, a:b].max() > 0.5))
    return odds + PATTERN * _pattern(np.array(shown, bool), np.array(bell, bool), span[judged])


def _share(window: Window, lit: Array, level: Array, celsius: Array, indoor_c: float) -> float:
    """Return how far a window's warmth brings the probe from air to room, the median of its days."""
    shares = []
    for row, (a, b) in window.rows.items():
        on = (lit[row, a:b] > 0.5) & np.isfinite(celsius[row, a:b])
        if on.any():
            warm = float(level[row, a:b][on].mean())
            air = float(celsius[row, a:b][on].mean()) - warm
            shares.append(warm / max(indoor_c - air, 0.3))
    return float(np.median(shares)) if shares else 0.0


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
