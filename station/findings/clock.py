"""The probe's clock against the class: a constant shift or a missed clock change, asked, never applied.

For every candidate shift the record is read at the shifted time of each session and compared with what the
class read; the best run of school days is kept. Readings know nothing of the laptop's clock, so a run in
which morning and afternoon both fit an hour away speaks for the clock, while sun or doors move one of them.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from station.base.robust import madn

Floats = npt.NDArray[np.float64]

#: Shifts tried, minutes added to the stamps: the hour of a clock change or a neighbouring zone, and only
#: where it doesn't fit what a hand may set. More of them would ask without need.
SHIFTS_MIN = ((-60.0, 60.0), (-30.0, 30.0))
#: Spread of the class's middle about the reference of its moment [degC]: the class's own, within these.
SPREAD_C = (0.2, 0.4)
#: A session's misfit counts at most this (squared spreads), so that no single one decides.
MOST = 16.0
#: Gain in summed squares from which a shift is asked about. The table's 9 is for one shift and one span; some
#: thousand pairs of span and shift are tried, which adds 2 ln 1000 = 14, and weather is rougher than a normal
#: by as much again: on tuning seeds 23 asked without need in one class of seventy, mostly over dull days.
GAIN = 31.0
#: A session speaks from this gain on, and so many must speak for the shift.
LOUD, SPEAKING = 1.5, 3
#: Share of sessions of a part that a record covers usually, and what lacking one there counts (squared
#: spreads).
USUALLY, LACKING = 0.7, 9.0
#: Least mean gain of a span's sessions (squared spreads): sun in one part of every day gains a little for
#: weeks (under 1 on tuning seeds), a clock much at once (3 and more).
LEAST = 2.0
#: Sessions outside a span from which what all share is taken; with fewer, the span's own count too.
OUTSIDE = 6
#: A part of the day may speak against whole hours by this share of the gain, since sun on the probe fits
#: nothing; for less than an hour, which a doorway's sun can mimic, each part must speak for it by as much.
AGAINST = 0.2
#: Fewest school days and sessions of a span.
DAYS, SESSIONS = 3, 5


@dataclass(frozen=True)
class Shift:
    """A span of school days whose stamps fit better shifted."""

    first: dt.date
    last: dt.date
    shift_minutes: float
    probability: float
    gain: float


def clock_shifts(
    dates: Sequence[dt.date],
    parts: Sequence[str],
    middle: Floats,
    reference_at: Callable[[int, float], float],
) -> tuple[Shift, ...]:
    """Return spans that look shifted, in order of time.

    Parameters
    ----------
    dates, parts : sequences, shape (s,)
        Of the sessions in order of time.
    middle : ndarray, shape (s,)
        What the class read, offsets out [degC]; NaN where too few read.
    reference_at : callable
        (session, minutes) -> the record [degC] that many minutes after the session's clock time; NaN.
    """
    now = np.array([reference_at(s, 0.0) for s in range(len(dates))])
    # a part of the day that the record usually covers and on some days lacks may lie an hour away in it
    covered = {part: np.mean(np.isfinite(now)[np.array(parts) == part]) >= USUALLY for part in set(parts)}
    usable = np.isfinite(middle) & (
        np.isfinite(now) | np.array([covered[part] for part in parts], dtype=bool)
    )
    if usable.sum() < SESSIONS or not np.isfinite(middle - now).any():
        return ()
    best: Shift | None = None
    for shifts in SHIFTS_MIN:
        for shift in shifts:
            # a stamp that runs an hour ahead holds the session's air an hour after its clock time
            then = np.array([reference_at(s, -shift) for s in range(len(dates))])
            both = usable & (np.isfinite(now) | np.isfinite(then))
            if (both & np.isfinite(then)).sum() < SESSIONS:
                continue
            found = _span(np.array(dates, dtype=object), np.array(parts), middle, now, then, both, shift)
            if found is not None and (best is None or found.gain > best.gain):
                best = found
        if best is not None:
            break
    if best is None:
        return ()
    inside = np.array([best.first <= d <= best.last for d in dates])
    rest = np.where(inside, np.nan, middle)
    return tuple(sorted((best, *clock_shifts(dates, parts, rest, reference_at)), key=lambda s: s.first))


def _span(
    dates: npt.NDArray[np.object_],
    parts: npt.NDArray[np.str_],
    middle: Floats,
    now: Floats,
    then: Floats,
    both: npt.NDArray[np.bool_],
    shift: float,
) -> Shift | None:
    common = float(np.median((middle - now)[np.isfinite(middle - now)]))
    spread = float(np.clip(madn((middle - now)[np.isfinite(middle - now)]), *SPREAD_C))
    for _ in range(3):
        here, there = (_misfit((middle - at - common) / spread) for at in (now, then))
        gain = np.where(both, here - there, 0.0)
        days = sorted(set(dates[both]))
        by_day = np.array([gain[(dates == day) & both].sum() for day in days])
        first, last = _best_run(by_day)
        inside = both & (dates >= days[first]) & (dates <= days[last])
        outside = (middle - now)[~inside & np.isfinite(middle - now)]
        if outside.size >= OUTSIDE:
            common = float(np.median(outside))
        else:
            common = float(np.nanmedian(np.where(inside, middle - then, middle - now)))
    own = gain[inside]
    half = 1 if abs(shift) >= 60.0 else 2
    if last - first + 1 < half * DAYS or own.size < SESSIONS or own.sum() < half * GAIN:
        return None
    loud = own[np.abs(own) > LOUD]
    if own.mean() < LEAST:
        return None
    if own.sum() - own.max() < GAIN / 2.0 or (loud > 0).sum() < SPEAKING or np.mean(loud > 0) < 0.6:
        return None
    for part in np.unique(parts[inside]):
        mine = gain[inside & (parts == part)]
        least = -AGAINST if abs(shift) >= 60.0 else AGAINST
        if mine.size >= 2 and mine.sum() < least * own.sum():
            return None
    total = float(own.sum())
    odds = 0.5 * total - np.log(1000.0)
    p = float(1.0 / (1.0 + np.exp(-odds)))
    return Shift(days[first], days[last], shift, p, total)


def _misfit(apart: Floats) -> Floats:
    """Return the squared misfit; where the record lacks the moment, what that counts.

    A true shift lacks the sessions as stamped and holds them shifted, so lacking speaks either way.
    """
    return np.asarray(np.where(np.isfinite(apart), np.minimum(apart**2, MOST), LACKING))


def _best_run(values: Floats) -> tuple[int, int]:
    """Return first and last position of the run with the largest sum."""
    total, start = 0.0, 0
    best = (-np.inf, 0, 0)
    for i, value in enumerate(values):
        if total <= 0.0:
            total, start = 0.0, i
        total += float(value)
        if total > best[0]:
            best = (total, start, i)
    return best[1], best[2]
