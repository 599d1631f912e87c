"""Local school time and UTC: the one place where a time zone is applied.

``zoneinfo`` accepts skipped and repeated local times without a word, and converts one time a call. Here a
zone becomes a table of its changes, so that whole arrays convert at once and every skipped or repeated
time is known as such. Instants in arrays are whole microseconds since 1970-01-01 (``int64``).
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from functools import lru_cache
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

Micros = NDArray[np.int64]

SECOND = 1_000_000
_DAY = 86_400 * SECOND
FIRST_YEAR, LAST_YEAR = 1900, 2199  # a class's record lies inside; keeps every date in range of every type
_PROBE_EVERY = dt.timedelta(hours=6)  # no zone changes twice within six hours


def to_utc(date: dt.date, clock: dt.time, zone: ZoneInfo) -> dt.datetime:
    """Return the UTC instant of a local date and clock time.

    A time skipped in spring moves forward by the jump; the repeated autumn hour means its first passing.
    """
    return dt.datetime.combine(date, clock, tzinfo=zone).astimezone(dt.UTC)


def is_skipped(date: dt.date, clock: dt.time, zone: ZoneInfo) -> bool:
    """Tell whether a local time does not exist because clocks jumped over it."""
    there = dt.datetime.combine(date, clock, tzinfo=zone)
    return there.astimezone(dt.UTC).astimezone(zone).replace(tzinfo=None) != there.replace(tzinfo=None)


@dataclass(frozen=True)
class LocalTimes:
    """Local wall times turned into UTC, with what the zone says about each.

    ``utc``: microseconds, shape (n,), the first passing where a time occurs twice. ``skipped``: the time does
    not exist. ``repeated``: it occurs twice; ``back``: how far clocks went back there, microseconds.
    """

    utc: Micros
    skipped: NDArray[np.bool_]
    repeated: NDArray[np.bool_]
    back: Micros


def from_local(local: Micros, zone: ZoneInfo) -> LocalTimes:
    """Convert local wall times (microseconds since 1970-01-01 00:00 local) to UTC."""
    changes, offsets = _table(local, zone)
    before, after = offsets[:-1], offsets[1:]
    window = np.searchsorted(changes + np.minimum(before, after), local, side="right")
    certain = np.searchsorted(changes + np.maximum(before, after), local, side="right")
    inside = window > certain  # in the span that a change skips or repeats
    jump = offsets[window] - offsets[certain]
    return LocalTimes(
        utc=local - offsets[certain],
        skipped=inside & (jump > 0),
        repeated=inside & (jump < 0),
        back=np.where(inside & (jump < 0), -jump, 0),
    )


def to_local(utc: Micros, zone: ZoneInfo) -> Micros:
    """Convert UTC instants to local wall times, both in microseconds."""
    changes, offsets = _table(utc, zone)
    return utc + offsets[np.searchsorted(changes, utc, side="right")]


def second_passing(rows: NDArray[np.int64], local: Micros, back: Micros) -> NDArray[np.bool_]:
    """Tell which repeated local times belong to the second passing, from their order in the file.

    In each run of neighbouring rows the second passing starts at the largest step back. A row given twice, or
    a little out of order, in a record of short steps is none: a step must lie a quarter of the change below
    the usual one. In an hourly record the same time twice is enough. With no such step all are the first.

    Parameters
    ----------
    rows
        Positions in the file of the times that occur twice, rising, shape (n,).
    local, back
        Their wall times, and how far clocks went back there, microseconds, shape (n,).
    """
    second = np.zeros(rows.shape, dtype=np.bool_)
    apart = (np.diff(rows) > 1) | (np.diff(local) > _DAY)
    for run in np.split(np.arange(rows.size), np.flatnonzero(apart) + 1):
        steps = np.diff(local[run])
        if not steps.size:
            continue
        onward = steps[steps > 0]
        usual = float(np.median(onward)) if onward.size else float(back[run[0]])
        if steps.min() <= usual - back[run[0]] / 4:
            second[run[int(np.argmin(steps)) + 1 :]] = True
    return second


def _table(times: Micros, zone: ZoneInfo) -> tuple[Micros, Micros]:
    """Return the zone's changes (UTC, microseconds) around ``times`` and the offsets between them."""
    if not times.size:
        years = range(1970, 1971)
    else:
        low, high = (int(np.datetime64(int(t), "us").astype("M8[Y]").astype(int)) + 1970
                     for t in (times.min(), times.max()))  # fmt: skip
        years = range(max(low, FIRST_YEAR) - 1, min(high, LAST_YEAR) + 2)
    found = [change for year in years for change in _changes(zone, year)]
    first = _offset(dt.datetime(years[0], 1, 1), zone)
    return (
        np.array([at for at, _ in found], dtype=np.int64),
        np.array([first, *(offset for _, offset in found)], dtype=np.int64),
    )


def _offset(utc: dt.datetime, zone: ZoneInfo) -> int:
    """Return local minus UTC in microseconds at a UTC time given without a zone."""
    there = utc.replace(tzinfo=dt.UTC).astimezone(zone).utcoffset()
    assert there is not None
    return there // dt.timedelta(microseconds=1)


@lru_cache(maxsize=1024)
def _changes(zone: ZoneInfo, year: int) -> tuple[tuple[int, int], ...]:
    """Return the changes of one UTC year: the instant and the offset after it, microseconds."""
    found = []
    at, end = dt.datetime(year, 1, 1), dt.datetime(year + 1, 1, 1)
    while at < end:
        low, high = at, at + _PROBE_EVERY
        after = _offset(high, zone)
        if _offset(low, zone) != after:
            while high - low > dt.timedelta(seconds=1):
                middle = low + dt.timedelta(seconds=(high - low) // dt.timedelta(seconds=2))
                low, high = (low, middle) if _offset(middle, zone) == after else (middle, high)
            found.append(((high - dt.datetime(1970, 1, 1)) // dt.timedelta(microseconds=1), after))
        at += _PROBE_EVERY
    return tuple(found)
