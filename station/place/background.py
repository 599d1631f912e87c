"""What stands behind the sun's warmth: how clear a day was, how restless and how warm shaded air is."""

from __future__ import annotations

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from station.place.days import Days

Array = NDArray[np.float64]

#: Log odds that the sun is out at a minute of a day: constant, a degree of the day's range, its share of the
#: record's largest range, the sine of the noon elevation. The stronger the sun, the more a clear day warms.
#: For whole days and for school hours alone (fitted on invented skies apart).
CLEARNESS, CLEARNESS_SCHOOL = (-2.2, 0.39, 3.6, -3.7), (-2.6, 0.37, 3.5, -1.7)
#: A record of dull days alone has no clear one to compare with: at least this range under an overhead sun is
#: asked of a clear day [degC] (common practice inland: 6 to 12).
CLEAR_RANGE_C = 9.0
#: Even a clear day has clouds and a dull one gaps.
CLEAR_LIMITS = (0.05, 0.90)
UNKNOWN_SKY = 0.4
#: Scatter of a shaded probe between two-minute means before anything is known [degC]; worth these minutes.
NOISE_C, NOISE_WORTH_MIN = 0.07, 60.0
NOISE_LIMITS_C = (0.03, 0.20)
#: Rise of the air from dawn to its highest on a usual clear day [degC] (common practice: 6 to 12).
USUAL_RISE_C = 9.0


def box(x: Array, half: int) -> Array:
    """Return sums over ``2 * half + 1`` columns, along rows."""
    c = np.cumsum(np.pad(x, ((0, 0), (half + 1, half))), axis=1)
    return np.asarray(c[:, 2 * half + 1 :] - c[:, : -(2 * half + 1)])


def daily_range(days: Days, weather: Array | None) -> Array:
    """Return each row's range of the air, degC, from the region's series or the record, NaN where short."""
    span = np.full(len(days.start), np.nan)
    for i in range(len(days.start)):
        series = days.celsius[i] if weather is None else weather[i]
        known = series[np.isfinite(series)]
        if len(known) * days.step >= 180:
            span[i] = np.percentile(known, 97) - np.percentile(known, 3)
    return span


def clear_days(days: Days, span: Array) -> Array:
    """Return for each row how likely the sun was out at a given minute, from the day's range, shape (d,)."""
    dark = (np.isfinite(days.celsius) & (days.elevation < -5)).sum(axis=1) * days.step > 180
    known = np.nan_to_num(span)
    high = np.sin(np.radians(days.elevation.max(axis=1)))
    largest = np.maximum(known.max(initial=1.0), CLEAR_RANGE_C * high)
    whole, school = (
        constant + degree * known + share * known / largest + noon * high
        for constant, degree, share, noon in (CLEARNESS, CLEARNESS_SCHOOL)
    )
    guess = 1 / (1 + np.exp(-np.where(dark, whole, school)))
    return np.asarray(np.where(np.isfinite(span), np.clip(guess, *CLEAR_LIMITS), UNKNOWN_SKY))


def noise(celsius: Array, weight: Array, step: int) -> Array:
    """Return the scatter of the steps of the record where ``weight`` holds it to be shaded, shape (d, m).

    The root is averaged, not the square, so that single jumps count little.
    """
    change = np.abs(np.diff(celsius, axis=1, prepend=np.nan))
    w = weight * np.isfinite(change)
    half = round(45 / step)
    worth = NOISE_WORTH_MIN / step
    root = (box(w * np.sqrt(np.nan_to_num(change)), half) + worth * np.sqrt(NOISE_C)) / (box(w, half) + worth)
    # 1.5: the squared mean root of |x| is 0.68 times the scale of Student's t, 4 degrees of freedom.
    return np.asarray(np.clip(1.5 * root**2, *NOISE_LIMITS_C))


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
