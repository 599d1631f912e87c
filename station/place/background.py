"""What stands behind the sun's warmth: how clear a day was, how restless and how warm shaded air is."""

from __future__ import annotations

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy.ndimage import maximum_filter1d
from scipy.signal import lfilter

from station.place.days import Days

Array = NDArray[np.float64]

#: Log odds that the sun is out at a minute of a day: constant, a degree of the day's range, its share of the
#: record's largest, the sine of the noon elevation, the share of the record's largest warming by the sun, a
#: degree of what wanders beside it, the logarithm of the share (and a tenth) of the largest restlessness. For
#: whole days and for school hours alone (fitted on invented skies apart; there restlessness would count half
#: as much again, in the real air of Payerne it tells less).
CLEARNESS = (-1.2, 0.23, 0.7, -2.5, 2.5, -0.4, 4.0)
CLEARNESS_SCHOOL = (-2.1, 0.18, 3.1, -0.5, 0.4, -0.6, 4.0)
#: A record of dull days alone has no clear one to compare with. This at least is asked of a clear day: range
#: under an overhead sun [degC] (common practice inland: 6 to 12), a warming for the sun from the horizon to
#: overhead [degC], a mean step of the record in two minutes [degC] (the latter two fitted with the above).
CLEAR_RANGE_C, CLEAR_WARMING_C, CLEAR_RESTLESS_C = 9.0, 8.0, 0.06
#: The largest are sought among so many recorded days before and after: seasons pass, and places change.
AROUND_DAYS = 10
#: Share of the largest restlessness that a record too sparse to tell is given (mean of invented days).
USUAL = 0.8
#: The air follows the sun by hours [h]; drift of a day's air [degC an hour] that is as likely as not.
AIR_LAG_H, DRIFT_C_H = 3.0, 0.5
#: A step of the record counts up to this for how restless a day is, so that edges count little [degC].
MOST_STEP_C = 0.5
#: The sun so low tells nothing of restlessness; night begins so far under the horizon [degrees].
LOW_DEG, DARK_DEG = 5.0, -5.0
#: Even a clear day has clouds and a dull one gaps.
CLEAR_LIMITS = (0.03, 0.95)
UNKNOWN_SKY = 0.4
#: Scatter of a shaded probe between two-minute means before anything is known [degC]; worth these minutes.
NOISE_C, NOISE_WORTH_MIN = 0.07, 60.0
NOISE_LIMITS_C = (0.03, 0.20)
#: A probe noisy in the dark may scatter by so much more than its mean step there (normal scatter: 1.25).
NOISY = 1.5
#: Shaded air steps by so much more on its most restless day than in the dark (fitted with the odds that a
#: place is in the sun all day), and a still night counts as this [degC]: its day need not be still.
BY_DAY, CALM_C = 1.7, 0.07
#: Rise of the air from dawn to its highest on a usual clear day [degC] (common practice: 6 to 12).
USUAL_RISE_C = 9.0


def box(x: Array, half: int) -> Array:
    """Return sums over ``2 * half + 1`` columns, along rows."""
    c = np.cumsum(np.pad(x, ((0, 0), (half + 1, half))), axis=1)
    return np.asarray(c[:, 2 * half + 1 :] - c[:, : -(2 * half + 1)])


def sun_around(
    sky: Array, weight: Array, lit: Array, worth: float, far: int, near: int | None = None
) -> Array:
    """Return the chance that the sun was out at each cell by what was lit around it, shape (d, m).

    Parameters
    ----------
    sky
        What is held of it already, shape (d, m) or (d, 1).
    weight
        How far each cell's word on the sun counts, shape (d, m).
    lit
        Probability of being lit, same shape.
    worth
        How many cells of full weight ``sky`` is worth.
    far, near
        Cells up to so many columns away are asked, those up to ``near`` away left out; None for none.
    """

    def around(x: Array) -> Array:
        return box(x, far) if near is None else box(x, far) - box(x, near)

    return np.asarray((worth * sky + around(weight * lit)) / (worth + around(weight)))


def running_median(x: Array, half: int) -> Array:
    """Return medians of what is known in ``2 * half + 1`` columns, along rows; NaN where ``x`` is."""
    around = pd.DataFrame(x.T).rolling(2 * half + 1, center=True, min_periods=1).median().to_numpy().T
    return np.where(np.isfinite(x), around, np.nan)


def clear_days(days: Days) -> Array:
    """Return for each row how likely the sun was out at a given minute, shape (d,).

    A clear day's air rises and falls far, in the shape of the sun's height some hours late, and convection
    keeps it restless: the record's other days say how far, how high and how restless. Rows of under three
    hours say nothing.
    """
    enough = _long(days, np.ones(days.celsius.shape, bool))
    if not enough.any():
        return np.full(len(days.start), UNKNOWN_SKY)
    signs = _signs(days, enough)
    dark = _long(days, days.elevation < DARK_DEG)
    odds = np.where(dark, np.array(CLEARNESS) @ signs, np.array(CLEARNESS_SCHOOL) @ signs)
    return np.asarray(np.where(enough, np.clip(1 / (1 + np.exp(-odds)), *CLEAR_LIMITS), UNKNOWN_SKY))


def _signs(days: Days, enough: NDArray[np.bool_]) -> Array:
    """Return what tells a clear day, in the order of ``CLEARNESS``, shape (7, d)."""
    high = np.sin(np.radians(days.elevation.max(axis=1)))
    span = _range(days, enough)
    warming, rest = _warming(days, enough)
    restless = restlessness(days)
    share = np.where(restless > 0, restless / np.maximum(_largest(restless), CLEAR_RESTLESS_C), USUAL)
    return np.stack([
        np.ones(len(high)), span, span / np.maximum(_largest(span), CLEAR_RANGE_C * high), high,
        warming / np.maximum(_largest(warming), CLEAR_WARMING_C), rest,
        np.log(share + 0.1),
    ])  # fmt: skip


def _largest(values: Array) -> Array:
    """Return for each row the largest value of the recorded days around it."""
    return np.asarray(maximum_filter1d(values, 2 * AROUND_DAYS + 1, mode="nearest"))


def _range(days: Days, enough: NDArray[np.bool_]) -> Array:
    """Return each row's range, degC, without its most extreme minutes; zero where short."""
    span = np.zeros(len(days.start))
    for i in np.flatnonzero(enough):
        known = days.celsius[i][np.isfinite(days.celsius[i])]
        span[i] = np.percentile(known, 97) - np.percentile(known, 3)
    return span


def _warming(days: Days, enough: NDArray[np.bool_]) -> tuple[Array, Array]:
    """Return how much each day's air followed the sun, degC for a sine of one, and what wandered beside it.

    Least squares of a constant, a drift and the sine of the sun's elevation as a first-order lag follows it;
    zero where short.
    """
    hours = np.arange(days.celsius.shape[1]) * days.step / 60 - 12
    keep = np.exp(-days.step / (60 * AIR_LAG_H))
    up = np.clip(np.sin(np.radians(days.elevation)), 0, None)
    # Twice round, so that the lag starts from the evening before.
    late = lfilter([1 - keep], [1.0, -keep], np.tile(up, (1, 2)), axis=1)[:, up.shape[1] :]
    warming, rest = np.zeros(len(up)), np.zeros(len(up))
    for i in np.flatnonzero(enough):
        known = np.isfinite(days.celsius[i])
        y, shape = days.celsius[i][known], np.stack([np.ones(known.sum()), hours[known], late[i][known]])
        against = np.diag([0.0, known.sum() / DRIFT_C_H**2, 1e-6])
        found = np.linalg.solve(shape @ shape.T + against, shape @ y)
        warming[i], rest[i] = found[2], float(np.std(y - found @ shape))
    return warming, rest


def restlessness(days: Days) -> Array:
    """Return each day's mean step of the record by daylight, as of two minutes, degC, shape (d,).

    Zero where nothing was recorded often enough to tell.
    """
    return _mean_step(days, days.elevation > LOW_DEG)


def calm_step(days: Days) -> float:
    """Return the mean step of the record in the dark, degC; NaN where too little of it was recorded."""
    dark = days.elevation < DARK_DEG
    nights = _mean_step(days, dark)[_long(days, dark)]
    return float(np.median(nights)) if len(nights) else float("nan")


def restless_beyond_shade(days: Days, calm_c: float, where: NDArray[np.bool_]) -> float:
    """Return the restlessness of the most restless day over what the shade may show by day, degC.

    That rests on ``calm_c``, the step in the dark, or where that is NaN on the calmest day: neither a probe's
    own noise nor a windy yard is sun. ``where`` are the cells to ask, shape (d, m); where no day has an hour
    of them by daylight all are.
    """
    light = restlessness(days)
    shade = BY_DAY * max(_calmest(light, calm_c), CALM_C)
    asked = where & (days.elevation > LOW_DEG)
    enough = _hours(days, asked) >= 1
    most = _mean_step(days, asked)[enough] if enough.any() else light
    return float(np.sqrt(max(float(most.max(initial=0.0)) ** 2 - shade**2, 0.0)))


def is_noisy(days: Days, calm_c: float) -> bool:
    """Tell whether a record's own noise may pass for what the sun's gusts do.

    That rests on ``calm_c``, the step in the dark, degC, or where that is NaN on the calmest day.
    """
    return NOISY * _calmest(restlessness(days), calm_c) > NOISE_LIMITS_C[1]


def _calmest(light: Array, calm_c: float) -> float:
    """Return the step in the dark, or where it isn't known that of the calmest day, degC."""
    return float(light[light > 0].min(initial=np.inf)) if np.isnan(calm_c) else calm_c


def noise_limit(calm_c: float) -> float:
    """Return the most scatter that a shaded record's steps may have, degC: more if noisy in the dark.

    ``calm_c`` is the step in the dark, NaN where it isn't known.
    """
    return NOISE_LIMITS_C[1] if np.isnan(calm_c) else max(NOISE_LIMITS_C[1], NOISY * calm_c)


def _long(days: Days, where: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return the rows of which three hours and more were recorded there."""
    return _hours(days, where) >= 3


def _hours(days: Days, where: NDArray[np.bool_]) -> Array:
    """Return how long each row was recorded there, hours."""
    return np.asarray((np.isfinite(days.celsius) & where).sum(axis=1) * days.step / 60)


def _mean_step(days: Days, where: NDArray[np.bool_]) -> Array:
    """Return each row's mean step between neighbouring columns there, as of two minutes, degC, shape (d,)."""
    change = np.minimum(np.abs(np.diff(days.celsius, axis=1, prepend=np.nan)), MOST_STEP_C)
    used = np.isfinite(change) & where
    mean = np.where(used, change, 0.0).sum(axis=1) / np.maximum(used.sum(axis=1), 1)
    return np.asarray(mean * np.sqrt(2 / days.step))


def noise(celsius: Array, weight: Array, step: int, limit_c: float) -> Array:
    """Return the scatter of the steps of the record where ``weight`` holds it to be shaded, shape (d, m).

    The root is averaged, not the square, so that single jumps count little; ``limit_c`` [degC] is the most
    that is returned.
    """
    change = np.abs(np.diff(celsius, axis=1, prepend=np.nan))
    w = weight * np.isfinite(change)
    half = round(45 / step)
    worth = NOISE_WORTH_MIN / step
    root = (box(w * np.sqrt(np.nan_to_num(change)), half) + worth * np.sqrt(NOISE_C)) / (box(w, half) + worth)
    # 1.5: the squared mean root of |x| is 0.68 times the scale of Student's t, 4 degrees of freedom.
    return np.asarray(np.clip(1.5 * root**2, NOISE_LIMITS_C[0], limit_c))


def typical_level(days: Days) -> Array:
    """Return the record above what the air would do on a usual clear day, shape (d, m), NaN without a night.

    The usual day starts at the mean of the 90 minutes before sunrise and rises by ``USUAL_RISE_C``.
    """
    above = np.full(days.celsius.shape, np.nan)
    columns = np.arange(days.celsius.shape[1])
    for i in range(len(days.start)):
        light = np.flatnonzero(days.elevation[i] > 0)
        if not len(light):
            continue
        before = days.celsius[i, max(light[0] - 90 // days.step, 0) : light[0]]
        if np.isfinite(before).sum() * days.step < 30:
            continue
        t = (columns - light[0]) / (light[-1] - light[0])
        shape = np.where(t > 0, np.sin(np.pi * np.clip(t / 1.25, 0, 1)), 0.0)
        above[i] = days.celsius[i] - np.nanmean(before) - USUAL_RISE_C * shape
    return above


def regional_level(days: Days, weather: pd.DataFrame) -> Array | None:
    """Return the record above the regional series, shape (d, m), or None where there is none."""
    series = days.place(weather, 190.0)
    return days.celsius - series if np.isfinite(series).any() else None
