"""Checks of a probe's record: each returns one flag a sample and names itself.

A check sees arrays only: ``t``, seconds in ascending order, and ``x``, degC with NaN for a missing value,
both of shape (n,). It returns ``uint8`` of the same shape, from the closed set ``Flag``. Time and memory grow
linearly with n: windows of hours work on the extremes of whole minutes, so they reach back up to a minute
further than they say where samples are closer than that.

References
----------
IOOS QARTOD, Manual for Real-Time Quality Control of In-situ Temperature and Salinity Data (flag values, gross
range, spike, rate of change, flat line, gap).
Zahumensky (2004), Guidelines on Quality Control Procedures for Data from Automatic Weather Stations,
WMO CBS/OPAG-IOS (-80 to 60 degC, 3 degC a minute, at least 0.1 degC change in 60 minutes).
WMO-No. 305, VI.21 (largest plausible change over 1, 2, 3, 6 and 12 hours).
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import IntEnum
from typing import Literal

import numpy as np
import pandas as pd
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Flags = NDArray[np.uint8]


class Flag(IntEnum):
    """The closed set of flags, values of QARTOD."""

    GOOD = 1
    NOT_EVALUATED = 2
    SUSPECT = 3
    FAIL = 4
    MISSING = 9


#: When checks differ, the first of these that any of them gave is the flag of the sample.
PRECEDENCE = (Flag.FAIL, Flag.SUSPECT, Flag.GOOD, Flag.NOT_EVALUATED, Flag.MISSING)

#: The checks of a record in the order in which they are made.
CHECKS = ("gross_range", "spike", "rate", "step", "stuck", "gap")

SENSOR_RANGE_C = (-80.0, 60.0)  # degC, Zahumensky: no air temperature lies outside
USUAL_RANGE_C = (-45.0, 50.0)  # degC, common practice for a school's outdoor air; outside is suspect
SPIKE_C = (1.0, 3.0)  # degC off both neighbours, suspect and fail; the values of the QARTOD worked series
RATE_C_PER_MIN = 3.0  # degC a minute, Zahumensky
STEP_LIMITS_C: Mapping[int, float] = {1: 4.0, 2: 7.0, 3: 9.0, 6: 15.0, 12: 25.0}  # hours: degC, WMO-No. 305
STUCK_C = 0.1  # degC, Zahumensky: less change than this is suspect
STUCK_S = (
    3600.0,
    6 * 3600.0,
)  # s, suspect (Zahumensky) and fail (common practice: air seldom stands so long)
REACH = 0.95  # share of a span that samples must cover: they seldom fall exactly on its edge
GAP_S = 900.0  # s; a reference never spans a longer gap


def seconds(times: pd.Series[pd.Timestamp]) -> Floats:
    """Return instants (datetime64 with zone) as seconds since 1970, to the microsecond."""
    return np.asarray(pd.DatetimeIndex(times).as_unit("us").asi8 / 1e6, dtype=np.float64)


def gross_range(
    x: Floats, fail: tuple[float, float] = SENSOR_RANGE_C, suspect: tuple[float, float] = USUAL_RANGE_C
) -> Flags:
    """Flag values outside the possible (fail) and outside the usual (suspect), both ends in degC."""
    flags = _good(x)
    flags[(x < suspect[0]) | (x > suspect[1])] = Flag.SUSPECT
    flags[(x < fail[0]) | (x > fail[1])] = Flag.FAIL
    return _with_missing(flags, x)


def spike(
    x: Floats,
    limits_c: tuple[float, float] = SPIKE_C,
    method: Literal["average", "differential"] = "differential",
) -> Flags:
    """Flag a value that stands off its two neighbours by more than the limits (suspect, fail), degC.

    ``average`` compares with the mean of the neighbours, as QARTOD writes it; it also flags the neighbours
    of a spike. ``differential`` asks that the value lies beyond both neighbours on the same side and takes
    the smaller distance, which leaves the neighbours alone. The ends and the neighbours of a missing value
    are not evaluated.
    """
    flags = np.full(x.shape, Flag.NOT_EVALUATED, dtype=np.uint8)
    if x.size > 2:
        before, after = x[1:-1] - x[:-2], x[1:-1] - x[2:]
        if method == "average":
            off = np.abs(before + after) / 2.0
        else:
            off = np.minimum(np.abs(before), np.abs(after))
            off[before * after < 0] = 0.0  # a slope, not a spike
        inner = flags[1:-1]
        inner[off >= 0] = Flag.GOOD
        inner[off > limits_c[0]] = Flag.SUSPECT
        inner[off > limits_c[1]] = Flag.FAIL
    return _with_missing(flags, x)


def rate(t: Floats, x: Floats, limit_c_per_min: float = RATE_C_PER_MIN, longest_s: float = GAP_S) -> Flags:
    """Flag (suspect) a change faster than the limit since the sample before and since a minute before.

    Within a minute the limit is that of a whole minute: one step of a digital probe in one second is not a
    rate. Changes over more than ``longest_s`` are not evaluated.
    """
    flags = _good(x)
    if x.size:
        first = np.arange(x.size) - 1
        minute = np.searchsorted(t, t - 60.0, side="right") - 1
        evaluated = np.zeros(x.shape, dtype=bool)
        for earlier in (first, minute):
            known = earlier >= 0
            at = np.where(known, earlier, 0)
            dt = t - t[at]
            change = np.abs(x - x[at])
            known &= (dt <= longest_s) & np.isfinite(change)
            evaluated |= known
            flags[known & (change > limit_c_per_min * np.maximum(dt, 60.0) / 60.0)] = Flag.SUSPECT
        flags[~evaluated] = Flag.NOT_EVALUATED
    return _with_missing(flags, x)


def step(t: Floats, x: Floats, limits_c: Mapping[int, float] = STEP_LIMITS_C) -> Flags:
    """Flag (suspect) a value further from any value of the last hours than the limit for those hours.

    ``limits_c`` maps hours to degC.
    """
    flags = _good(x)
    minutes = _Minutes(t, x)
    for hours, limit in limits_c.items():
        low, high, _ = minutes.trailing(hours * 3600.0)
        rows = np.flatnonzero((minutes.high - low > limit) | (high - minutes.low > limit))
        at = minutes.samples(rows)
        row = minutes.row[at]
        flags[at[(x[at] - low[row] > limit) | (high[row] - x[at] > limit)]] = Flag.SUSPECT
    return _with_missing(flags, x)


def stuck(
    t: Floats, x: Floats, less_than_c: float = STUCK_C, spans_s: tuple[float, float] = STUCK_S
) -> Flags:
    """Flag a record that changed by less than ``less_than_c`` over the last spans (suspect, fail), s.

    A record that does not reach back so far is good.
    """
    flags = _good(x)
    minutes = _Minutes(t, x)
    for span, flag in zip(spans_s, (Flag.SUSPECT, Flag.FAIL), strict=True):
        low, high, reach = minutes.trailing(span)
        rows = np.flatnonzero((high - low < less_than_c) & (reach >= REACH * span))
        flags[minutes.samples(rows)] = flag
    return _with_missing(flags, x)


def gap(t: Floats, x: Floats, longest_s: float = GAP_S) -> Flags:
    """Flag (suspect) the sample after a pause longer than ``longest_s``: nothing is known of the pause."""
    flags = _good(x)
    flags[1:][np.diff(t) > longest_s] = Flag.SUSPECT
    return _with_missing(flags, x)


def combine(flags: pd.DataFrame) -> Flags:
    """Return the flag of each sample from those of all checks (a column each), by ``PRECEDENCE``."""
    columns = [flags[name].to_numpy() for name in flags.columns]
    result = np.full(columns[0].shape, PRECEDENCE[-1], dtype=np.uint8)
    for flag in reversed(PRECEDENCE):
        for column in columns:
            result[column == flag] = flag
    return result


def check(t: Floats, x: Floats) -> pd.DataFrame:
    """Make all checks; one ``uint8`` column for each of ``CHECKS``, one row a sample.

    What fails one check is not evaluated by the later ones, so a 85.0 does not make its neighbours a step.
    """
    columns: dict[str, Flags] = {"gross_range": gross_range(x)}
    failed = columns["gross_range"] == Flag.FAIL
    left = np.where(failed, np.nan, x)
    columns["spike"] = spike(left)
    lonely = np.zeros(x.shape, dtype=bool)  # neighbours too long ago to say anything
    lonely[1:] |= np.diff(t) > GAP_S
    lonely[:-1] |= np.diff(t) > GAP_S
    columns["spike"][lonely & ~np.isnan(left)] = Flag.NOT_EVALUATED
    failed |= columns["spike"] == Flag.FAIL
    left = np.where(failed, np.nan, x)
    columns["rate"] = rate(t, left)
    columns["step"] = step(t, left)
    columns["stuck"] = stuck(t, left)
    columns["gap"] = gap(t, x)
    for name in CHECKS[1:]:
        column = columns[name]
        column[(column == Flag.MISSING) & ~np.isnan(x)] = Flag.NOT_EVALUATED
    return pd.DataFrame(columns)


def _good(x: Floats) -> Flags:
    return np.full(x.shape, Flag.GOOD, dtype=np.uint8)


def _with_missing(flags: Flags, x: Floats) -> Flags:
    flags[np.isnan(x)] = Flag.MISSING
    return flags


class _Minutes:
    """The extremes of each whole minute that has a sample, and of the minutes before it."""

    def __init__(self, t: Floats, x: Floats) -> None:
        minute = np.floor(t / 60.0)
        self.starts = np.flatnonzero(np.diff(minute, prepend=-np.inf) != 0.0)
        self.ends = np.append(self.starts[1:], x.size)
        self.row = np.repeat(np.arange(self.starts.size), self.ends - self.starts)
        self.time = t[self.starts]
        self.low = np.fmin.reduceat(x, self.starts) if x.size else x
        self.high = np.fmax.reduceat(x, self.starts) if x.size else x

    def trailing(self, span_s: float) -> tuple[Floats, Floats, Floats]:
        """Return lowest and highest value over the last ``span_s`` of each minute, and the span seen, s."""
        index = pd.to_datetime(np.round(self.time * 1e6).astype("int64"), unit="us")
        window = pd.Timedelta(seconds=span_s)
        low = pd.Series(self.low, index=index).rolling(window, closed="both").min().to_numpy()
        high = pd.Series(self.high, index=index).rolling(window, closed="both").max().to_numpy()
        first = np.searchsorted(self.time, self.time - span_s - 1e-3)
        return low, high, self.time - self.time[first]

    def samples(self, rows: NDArray[np.intp]) -> NDArray[np.intp]:
        """Return the positions of the samples in these minutes."""
        inside = np.zeros(self.starts.size, dtype=bool)
        inside[rows] = True
        return np.flatnonzero(inside[self.row])
