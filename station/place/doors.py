"""Sun or door: a warm gust at the same clock time on school days looks like a window of sun.

Five things tell them apart: sun comes on clear days, a door on school days; no day's warmth of a door lasts
long; it grows with the room's warmth over the air; it brings the probe only part of the way to the room, so
that none comes on a warm day; and it begins by the clock, while the sun comes in some minutes earlier or
later as the days pass. How a window ends tells less. Tried: an end of each day's own against a common one
(tells nothing beyond the length); what the place's other windows are.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.special import betaln

from station.place.background import CLEAR_LIMITS, sun_around
from station.place.windows import runs

Array = NDArray[np.float64]

#: Beta priors of how often a door stands open at its time: on school days, on others (common practice).
ON_SCHOOL_DAYS, ON_OTHER_DAYS = (8.0, 2.0), (0.3, 9.7)
#: How the chance of sun grows with the log odds of a clear day (one for one if these are right), and its
#: scatter at their mean.
BY_CLEARNESS, AT_MEAN = 1.0, 1.5
#: Log odds of a door before looking, less for each e-fold of the window's length [min], and how much days,
#: warmth and clock count, which are not independent; how far the clock is heard (fitted on invented sites
#: apart).
DOORS, BY_LENGTH, PATTERN, WARMTH, BY_CLOCK, CLOCK_LIMITS = 5.6, 1.65, 0.40, 0.50, 0.75, (-5.0, 2.0)
#: Longer than this an unbroken warmth is hardly a door's [min]; what each e-fold beyond it tells (common
#: practice; fitted apart).
BREAK_MIN, BY_BREAK = 20.0, 1.9
#: A day counts when at least this share of its window was recorded; how far beyond the window its unbroken
#: warmth is followed [min].
RECORDED, AROUND_MIN = 0.7, 10.0
#: Scatter of a day's warmth about what sun or door would give [as a share], and the most that all days say.
WARMTH_SCATTER, WARMTH_MOST = 0.3, 4.0
#: Air this near to the room's warmth, or warmer, leaves a door little to give [degC].
NEAR_ROOM_C = 2.0
#: Minutes of the clock are a door's if the days on which they are warm tell so with these log odds, and those
#: beside them while they tell more than this, on so many school days at least; a door opens and closes so
#: much earlier and later [min] (tuned: of 129 big sites with a door under a recurring F1 of 0.9 remained 123
#: with 5, 120 with 3.5; the others while windows were cut wherever a door lay: 0 and 2.5, 3 days do about as
#: well, but with 3 some leaves passed for doors; 6 minutes took windows of the sun away).
BY_THE_CLOCK, BESIDE, ON_DAYS, MARGIN_MIN = 3.5, 1.0, 4, 4.0
#: The rest of a window tells of its sky: so far to each side of a minute, no nearer than most doors are long;
#: the day's own sky is worth so much of it [min] (common sense).
FAR_MIN, NEAR_MIN, WORTH_MIN = 45.0, 12.0, 15.0
#: A draught brings the probe no farther than this from the air to the room; else it is hardly a door's.
MOST_SHARE, TOO_WARM = 0.5, 5.0


def door_log_odds(
    length: float,
    rows: NDArray[np.intp],
    edges: NDArray[np.intp],
    lit: Array,
    level: Array,
    celsius: Array,
    out: Array,
    bell: NDArray[np.bool_],
    clock: float,
    indoor_c: float,
    step: int,
) -> float:
    """Return log odds that a window is a door's and not the sun's.

    Parameters
    ----------
    length
        How long the days together hold the window to be open, minutes.
    rows, edges
        Days on which the window could have shown, and its columns (from, to) on each, shapes (n,) and (n, 2).
    lit
        Probability of being lit, shape (d, m).
    level
        Expected excess where lit, same shape, degC.
    celsius
        The record, same shape, degC.
    out
        Chance that the sun was out, shape (d, m): the day's, or what a probe in the open saw.
    bell
        School days, shape (d,).
    clock
        Log odds that the window opens by the clock and not by the sun, as far as its days tell.
    indoor_c
        Temperature of the room behind the door, degC.
    step
        Minutes of a column.
    """
    judged, shown, sky, lengths, warmth = [], [], [], [float(step)], []
    for row, (a, b) in zip(rows.tolist(), edges.tolist(), strict=True):
        known = np.isfinite(celsius[row, a:b])
        if known.mean() < RECORDED:
            continue
        on = known & (lit[row, a:b] > 0.5)
        judged.append(row)
        shown.append(bool(on.any()))
        sky.append(float(out[row, a:b].mean()))
        if on.any():
            warm = float(level[row, a:b][on].mean())
            warmth.append((warm, indoor_c - float(celsius[row, a:b][on].mean()) + warm))
            lengths.append(_unbroken(lit[row], a, b, step))
    # The middle of the two on the scale of their ratio: doors that run together make a long window of short
    # stretches, and one day's chance a long stretch in a short window.
    unbroken = max(lengths) if judged else length
    odds = DOORS - BY_LENGTH * 0.5 * float(np.log(length) + np.log(unbroken))
    odds -= BY_BREAK * max(float(np.log(unbroken / BREAK_MIN)), 0.0)
    odds += BY_CLOCK * float(np.clip(clock, *CLOCK_LIMITS))
    odds += PATTERN * _pattern(np.array(shown, bool), bell[judged], np.array(sky))
    if warmth:
        warm_c, room_c = np.array(warmth).T
        odds += WARMTH * _grows_with_room(warm_c, room_c)
        if float(np.median(warm_c / np.maximum(room_c, 0.3))) > MOST_SHARE:
            odds -= TOO_WARM
    return odds


def by_the_clock(
    lit: Array,
    window: NDArray[np.bool_],
    seen: NDArray[np.bool_],
    sky: Array,
    bell: NDArray[np.bool_],
    clock: Array,
    step: int,
) -> NDArray[np.bool_]:
    """Return the minutes of the clock at which school days are warm under any sky, on all days, shape (d, m).

    The sky is the day's, or the one under which the rest of a window was lit or not: whichever tells more.

    Parameters
    ----------
    lit
        Probability of being lit, shape (d, m).
    window
        Where the sky is held to be open on some days or other, same shape.
    seen
        Where something was recorded, same shape.
    sky
        Chance by row that the sun was out, shape (d,).
    bell
        School days, shape (d,).
    clock
        Local clock of each row's first column, minutes, shape (d,).
    step
        Minutes of a column.
    """
    d, m = lit.shape
    late = np.rint((clock - clock[d // 2]) / step).astype(np.intp)
    at = np.arange(m)[None, :] - late[:, None]
    by_clock = np.arange(d)[:, None], np.clip(at, 0, m - 1)
    known = seen[by_clock] & (at >= 0) & (at < m)
    on = known & (lit[by_clock] > 0.5)
    skies = np.repeat(sky[:, None], m, axis=1), _sky_beside(lit, window & seen, sky, step)[by_clock]
    told = np.full(m, -np.inf)
    for j in np.flatnonzero(on[bell].sum(axis=0) >= ON_DAYS):
        rows = known[:, j]
        told[j] = max(_pattern(on[rows, j], bell[rows], out[rows, j]) for out in skies)
    found, margin = np.zeros(m, bool), round(MARGIN_MIN / step)
    for a, b in runs(told > BESIDE, 0, 1):
        if told[a:b].max() > BY_THE_CLOCK:
            found[max(a - margin, 0) : b + margin] = True
    back = np.clip(np.arange(m)[None, :] + late[:, None], 0, m - 1)
    return np.asarray(found[back])


def _sky_beside(lit: Array, window: NDArray[np.bool_], sky: Array, step: int) -> Array:
    """Return the chance that the sun was out at each cell by the rest of its window, shape (d, m)."""
    near, far = round(NEAR_MIN / step), round(FAR_MIN / step)
    out = sun_around(sky[:, None], window.astype(np.float64), lit, WORTH_MIN / step, far, near)
    return np.clip(out, *CLEAR_LIMITS)


def _unbroken(lit: Array, a: int, b: int, step: int) -> float:
    """Return the longest unbroken stretch of one day's warmth in and near a window, minutes."""
    around = round(AROUND_MIN / step)
    return float(max(e - s for s, e in runs(lit[max(a - around, 0) : b + around] > 0.5, 0, 1)) * step)


def _grows_with_room(warm: Array, room: Array) -> float:
    """Return log odds of a door from each day's warmth: it follows the room's over the air, or stays."""
    if len(warm) < 3:
        return 0.0
    x, y = np.log(np.maximum(room, NEAR_ROOM_C)), np.log(warm)
    x, y = x - x.mean(), y - y.mean()
    told = float((y**2 - (y - x) ** 2).sum()) / (2 * WARMTH_SCATTER**2)
    return float(np.clip(told, -WARMTH_MOST, WARMTH_MOST))


def _pattern(shown: NDArray[np.bool_], bell: NDArray[np.bool_], sky: Array) -> float:
    """Return log odds of a door from the days on which the window showed.

    The door keeps to school days. The sun keeps to clear days; how often it shines is
    left open.
    """
    if not len(shown):
        return 0.0
    door = 0.0
    for days, (yes, no) in ((bell, ON_SCHOOL_DAYS), (~bell, ON_OTHER_DAYS)):
        k, n = int((shown & days).sum()), int(days.sum())
        door += float(betaln(k + yes, n - k + no) - betaln(yes, no))
    clear = np.log(sky / (1 - sky))
    base = np.linspace(-3.0, 3.0, 25)
    odds = base[:, None] + BY_CLEARNESS * (clear - clear.mean())[None, :]
    fit = -np.logaddexp(0, np.where(shown[None, :], -odds, odds)).sum(axis=1)
    weight = np.exp(-0.5 * (base / AT_MEAN) ** 2)
    sun = float(np.log(np.average(np.exp(fit - fit.max()), weights=weight)) + fit.max())
    return door - sun
