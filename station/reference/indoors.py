"""Hours in which the probe seems to be indoors.

Said only when everything points the same way, because a mild grey day looks much like a classroom:

* the record stays within ``NEAR_C`` of the classroom for ``LEAST_H`` hours or more,
* its range there is under a third of the usual range over the same hours of other days (under the usual range
  where it was seen to come and to go abruptly),
* the same hours of the days around it were elsewhere, by more than ``APART_C``,
* it came or went abruptly, as a carried probe does, unless both ends lie in a pause.
"""

from __future__ import annotations

import numpy as np

from station.reference.quarters import Floats, Quarters, runs

Span = tuple[float, float]

NEAR_C = 3.0  # degC from the classroom; common practice: heating lets a room swing by a few degrees
LEAST_H = 3.0  # hours, common practice: shorter stays are not told from a lull
RANGE_SHARE = 1.0 / 3.0  # of the usual range, rule of the trade
APART_C = 4.0  # degC, common practice: less is within a change of weather
AROUND_DAYS = 7  # days before and after that tell what the weather was
ABRUPT_C = (
    3.0  # degC within a quarter hour; air outdoors seldom does that (3 degC a minute is the outer limit)
)
_LEAST_DAYS = 3  # other days needed to know what is usual
_PRESENT = 0.8  # share of the hours that another day must have to be compared


def indoors(t: Floats, x: Floats, quarters: Quarters, indoor_c: float) -> list[Span]:
    """Return spans (s since 1970) in which the probe seems to be indoors.

    Parameters
    ----------
    t, x
        Samples, s ascending and degC, NaN where dropped; shape (n,).
    quarters
        The same samples by quarter hours.
    indoor_c
        Classroom temperature, degC.
    """
    if not quarters.start.size:
        return []
    near = np.abs(quarters.mean - indoor_c) <= NEAR_C
    table = quarters.by_day(quarters.mean)
    least = int(LEAST_H * 4)
    spans = []
    for a, b in runs(near):
        if b - a < least:
            continue
        seen = _abrupt_ends(quarters, a, b)
        share = 1.0 if seen == [True, True] else RANGE_SHARE
        if (any(seen) or not seen) and _flat_and_apart(quarters, table, a, b, least, share):
            spans.append(_edges(t, x, quarters, a, b))
    return spans


def _abrupt_ends(q: Quarters, a: int, b: int) -> list[bool]:
    """Tell of each end of the run that was seen (not in a pause) whether it was abrupt."""
    seen = []
    for edge, outside in ((a, a - 1), (b - 1, b)):
        if 0 <= outside < q.start.size and not np.isnan(q.mean[outside]):
            around = slice(max(min(edge, outside) - 1, 0), max(edge, outside) + 2)
            swing = np.nanmax(q.high[around] - q.low[around])
            seen.append(bool(swing >= ABRUPT_C or abs(q.mean[edge] - q.mean[outside]) >= ABRUPT_C))
    return seen


def _flat_and_apart(q: Quarters, table: Floats, a: int, b: int, least: int, share: float) -> bool:
    """Tell whether on any day of the run its range is small for the hours and its level another."""
    for day in np.unique(q.day[a:b]):
        mine = np.flatnonzero(q.day[a:b] == day) + a
        if mine.size < least:
            continue
        row = int(day - q.day[0])
        hours = table[:, q.slot[mine]]
        others = (~np.isnan(hours)).mean(axis=1) >= _PRESENT
        others[row] = False
        near_days = others & (np.abs(np.arange(table.shape[0]) - row) <= AROUND_DAYS)
        if near_days.sum() < _LEAST_DAYS:
            continue
        usual = np.median(np.nanmax(hours[others], axis=1) - np.nanmin(hours[others], axis=1))
        level = np.median(np.nanmedian(hours[near_days], axis=1))
        range_c = np.ptp(q.mean[mine])
        if range_c < share * usual and abs(np.median(q.mean[mine]) - level) > APART_C:
            return True
    return False


def _edges(t: Floats, x: Floats, q: Quarters, a: int, b: int) -> Span:
    """Return the span of the run, each end moved into the next quarter hour while values stay near."""
    level = float(np.median(q.mean[a:b]))
    first = int(np.searchsorted(t, q.start[a]))
    last = int(np.searchsorted(t, q.start[b - 1] + 900.0)) - 1
    earliest = int(np.searchsorted(t, q.start[a] - 900.0))
    latest = int(np.searchsorted(t, q.start[b - 1] + 1800.0)) - 1
    while first > earliest and abs(x[first - 1] - level) <= NEAR_C:
        first -= 1
    while last < latest and abs(x[last + 1] - level) <= NEAR_C:
        last += 1
    return float(t[first]), float(t[last])
