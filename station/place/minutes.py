"""To the minute: where in a span of sun the probe really was a degree warmer, by the record's own minutes.

The chain reads two-minute means and bridges short clouds. Here the record itself is asked, minute by minute,
how far it stood above the air beside the span. A probe follows the sun with a lag, which falls after the sun
has gone tell; with it known, what the probe would show at once is the reading plus the lag times its slope.
"""

from __future__ import annotations

import datetime as dt

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from station.place.background import box
from station.place.spans import LAG_MIN
from station.place.windows import runs

Array = NDArray[np.float64]

#: A record with values farther apart than this has no minutes to tell [min].
SPACING_MIN = 1.5
#: In the sun is a degree above the shade; where the sun gives less than two, half of what it gives there;
#: where the record itself shows less than a degree, the chain knows better.
EXCESS_C, SHARE = 1.0, 0.5
#: What the sun gives is the upper middle of the minutes around [quantile; min].
GIVES, AROUND_MIN = 0.6, 31
#: How far an end may move outwards, and beyond it the air is taken to be shaded [min]: a probe cools slowly.
BEFORE_MIN, AFTER_MIN = 2, 3
#: The shaded air at a minute is the mean over so many to each side of it [min].
AIR_MIN = 3
#: Holes up to this are closed, shorter stretches are left out [min].
HOLE_MIN, SHORTEST_MIN = 1, 2
#: The usual lag is worth so many minutes of falls of a degree a minute; falls tell a third more than the lag,
#: because the sun takes two minutes to pass an edge, and half is taken from them (fitted on invented sites
#: apart, lags of 20 to 120 s).
LAG_WORTH, SLOWER, TAKEN = 5.0, 1.3, 0.5
#: A fall tells the lag from where it has come down to this share, over so many minutes, if it was at least of
#: so many degrees.
FALLEN, FALL_MIN, FALL_C = 0.4, 3, 2.0


def to_the_minute(spans: pd.DataFrame, samples: pd.DataFrame) -> pd.DataFrame:
    """Return the spans with their ends moved, and parted where clouds passed, by the record's minutes.

    Parameters
    ----------
    spans
        ``date, start, end`` (UTC), ``probability, excess_c``; in order of time.
    samples
        The record they were found in, SAMPLES. Where it is sparser than a minute the spans stay as they are.
    """
    times = samples["time"].to_numpy(dtype="datetime64[us]")
    if spans.empty or np.median(np.diff(times)) > np.timedelta64(round(SPACING_MIN * 60), "s"):
        return spans
    first = times[0].astype("datetime64[m]")
    y = _minutes(times, samples["celsius"].to_numpy(dtype=np.float64), first)
    ends = np.array([[_minute(t, first) for t in spans[name]] for name in ("start", "end")]).T
    ends = np.clip(ends, 0, len(y))
    above = y - _air(y, ends)
    slope = np.zeros_like(y)
    slope[1:-1] = (y[2:] - y[:-2]) / 2
    at_once = above + own_lag(above, ends, spans["excess_c"].to_numpy()) * np.nan_to_num(slope)
    table = []
    for (a, b), (date, _, _, probability, excess) in zip(
        ends.tolist(), spans.itertuples(index=False), strict=True
    ):
        if b <= a:  # beyond the record
            continue
        begin, end = max(a - BEFORE_MIN, 0), min(b + AFTER_MIN, len(y))
        gives = pd.Series(at_once[a:b]).rolling(AROUND_MIN, center=True, min_periods=1).quantile(GIVES)
        told = np.pad(gives.to_numpy() >= EXCESS_C, (a - begin, end - b), mode="edge")
        least = np.pad(np.minimum(EXCESS_C, SHARE * gives), (a - begin, end - b), mode="edge")
        warm = told & (at_once[begin:end] >= least)
        # Neither a hole in the record nor minutes that tell nothing part a span.
        warm[a - begin : b - begin] |= ~told[a - begin : b - begin] | ~np.isfinite(at_once[a:b])
        for c, d in runs(warm, HOLE_MIN, SHORTEST_MIN):
            at = [
                dt.datetime.fromisoformat(str(first + begin + minute)).replace(tzinfo=dt.UTC)
                for minute in (c, d)
            ]
            table.append((date, *at, probability, excess))
    return pd.DataFrame(table, columns=list(spans.columns))


def own_lag(above: Array, ends: NDArray[np.intp], excess: Array) -> float:
    """Return the time constant of a probe from its falls after the sun has gone, minutes.

    A first-order lag falls at a rate of its height over the time constant: the sum of heights over the sum of
    rates is the time constant.

    Parameters
    ----------
    above
        The record above the shaded air by minute, degC, shape (n,).
    ends
        First minute and end of every span, shape (s, 2).
    excess
        Excess of every span, degC, shape (s,).
    """
    rate = np.zeros_like(above)
    rate[1:-1] = (above[:-2] - above[2:]) / 2
    lit = np.zeros(len(above), bool)
    for a, b in ends:
        lit[a:b] = True
    heights, rates = LAG_WORTH * LAG_MIN, LAG_WORTH
    for (_, end), warm in zip(ends, excess, strict=True):
        near = np.arange(max(end - BEFORE_MIN - 1, 0), end + 2 * AFTER_MIN)
        if warm < FALL_C or near[-1] + FALL_MIN >= len(above) or not np.isfinite(above[near]).all():
            continue
        fallen = near[above[near] < FALLEN * warm]
        if not len(fallen):
            continue
        tail = slice(int(fallen[0]), int(fallen[0]) + FALL_MIN)
        if np.isfinite(above[tail]).all() and not lit[tail][1:].any():
            heights += float(above[tail].sum())
            rates += float(rate[tail].sum())
    told = heights / max(rates, 1e-3) / SLOWER
    return float(np.clip((1 - TAKEN) * LAG_MIN + TAKEN * told, 0.3, 2.0))


def _minutes(times: NDArray[np.datetime64], celsius: Array, first: np.datetime64) -> Array:
    """Return the mean of every minute of a record, NaN where it has none."""
    good = np.isfinite(celsius)
    cell = (times[good].astype("datetime64[m]") - first).astype(np.int64)
    total, count = np.bincount(cell, celsius[good]), np.bincount(cell)
    return np.where(count > 0, total / np.maximum(count, 1), np.nan)


def _minute(time: pd.Timestamp, first: np.datetime64) -> int:
    return int((np.datetime64(time.replace(tzinfo=None), "m") - first).astype(np.int64))


def _air(y: Array, ends: NDArray[np.intp]) -> Array:
    """Return the shaded air under the whole record, by straight lines under the spans, degC, shape (n,)."""
    known = np.isfinite(y)
    for a, b in ends:
        known[max(a - BEFORE_MIN, 0) : b + AFTER_MIN] = False
    count = box(known[None].astype(float), AIR_MIN)[0]
    total = box(np.where(known, y, 0.0)[None], AIR_MIN)[0]
    at = np.flatnonzero(known)
    if not len(at):
        return np.full_like(y, np.nan)
    return np.asarray(np.interp(np.arange(len(y)), at, total[at] / count[at]))
