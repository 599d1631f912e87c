"""When the record is there: how often the probe speaks, pauses in school hours, hours away by habit.

A laptop that goes home leaves no fault behind. Whether hours belong to the habit is learned from the record
itself: a quarter hour of the clock is kept by habit if at least half of the school days (or of the other
days) have it recorded for the better part. A pause in hours kept by habit is a gap; the rest of it is away.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from station.base.time import to_utc
from station.record.model import School
from station.reference.flags import GAP_S
from station.reference.quarters import QUARTER_S, SLOTS, Floats, Ints, date_of, local, runs

Span = tuple[float, float]

HABIT = 0.5  # share of days that make a habit
DAYS_TO_LEARN = 5  # a school week; before that, school hours are expected to be recorded


@dataclass(frozen=True)
class Presence:
    """``interval_s`` between samples (median, NaN for fewer than two), pauses as spans in s since 1970."""

    interval_s: float
    gaps: tuple[Span, ...]
    away: tuple[Span, ...]

    @property
    def too_seldom(self) -> bool:
        """Tell whether samples lie so far apart that no reference can be set between them."""
        return self.interval_s > GAP_S


def presence(t: Floats, zone: ZoneInfo, school: School) -> Presence:
    """Return how often the probe spoke, and when it did not.

    Where the planned run has a first day, the time from then to the first sample is a pause too. A record
    whose usual interval is longer than a gap has no gaps: it is logged too seldom as a whole.
    """
    steps = np.diff(t)
    interval = float(np.median(steps)) if steps.size else float("nan")
    pauses = list(zip(t[:-1][steps > GAP_S], t[1:][steps > GAP_S], strict=True))
    if school.first is not None and t.size:
        begin = to_utc(school.first, dt.time(), zone).timestamp()
        if t[0] - begin > GAP_S:
            pauses.insert(0, (begin, t[0]))
    if not pauses or not interval <= GAP_S:
        return Presence(interval, (), ())
    habit = _Habit(t, interval, zone, school)
    gaps: list[Span] = []
    away: list[Span] = []
    for begin, end in pauses:
        starts = np.arange(np.floor(begin / QUARTER_S), np.ceil(end / QUARTER_S)) * QUARTER_S
        kept, taught = habit.of(starts)
        begins, ends = np.maximum(starts, begin), np.minimum(starts + QUARTER_S, end)
        for a, b in runs(kept):
            if ((ends - begins)[a:b][taught[a:b]]).sum() > GAP_S:
                gaps.append((float(begins[a]), float(ends[b - 1])))
        away.extend(
            (float(begins[a]), float(ends[b - 1])) for a, b in runs(~kept) if ends[b - 1] - begins[a] > GAP_S
        )
    return Presence(interval, tuple(gaps), tuple(away))


class _Habit:
    """Which quarter hours of the clock are usually recorded, on school days and on other days."""

    def __init__(self, t: Floats, interval_s: float, zone: ZoneInfo, school: School) -> None:
        self.zone, self.school = zone, school
        number, counts = np.unique(np.floor(t / QUARTER_S), return_counts=True)
        day, slot = local(number[counts * interval_s >= HABIT * QUARTER_S] * QUARTER_S, zone)
        self.first = int(day[0])
        seen = np.zeros((int(day[-1]) - self.first + 1, SLOTS), dtype=bool)
        seen[day - self.first, slot] = True
        open_days = self._open(np.arange(seen.shape[0]) + self.first)
        taught = seen[open_days & seen.any(axis=1)]
        start, end = ((c.hour * 60 + c.minute) * 60 for c in (school.day_start, school.day_end))
        clock = np.arange(SLOTS) * QUARTER_S
        self.hours = (clock + QUARTER_S > start) & (clock < end)
        self.open = _usual(taught)
        if taught.shape[0] < DAYS_TO_LEARN:
            self.open = self.open | self.hours
        self.other = _usual(seen[~open_days])

    def _open(self, days: Ints) -> NDArray[np.bool_]:
        return np.array([self.school.is_school_day(date_of(d)) for d in days], dtype=bool)

    def of(self, starts: Floats) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
        """Return for quarter hours whether they are recorded by habit, and whether school is then on too."""
        day, slot = local(starts, self.zone)
        days, which = np.unique(day, return_inverse=True)
        is_open = self._open(days)[which]
        kept = np.where(is_open, self.open[slot], self.other[slot])
        return kept, kept & is_open & self.hours[slot]


def _usual(seen: NDArray[np.bool_]) -> NDArray[np.bool_]:
    return seen.mean(axis=0) >= HABIT if seen.shape[0] else np.zeros(SLOTS, dtype=bool)
