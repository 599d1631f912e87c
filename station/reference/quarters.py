"""A record seen by quarter hours, with the local day and clock of each; every zone's offset fits quarters."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

QUARTER_S = 900
SLOTS = 96  # quarter hours of a day

_EPOCH = dt.date(1970, 1, 1).toordinal()


def local(starts_s: Floats | Ints, zone: ZoneInfo) -> tuple[Ints, Ints]:
    """Return local day (days since 1970-01-01) and quarter of the day (0 to 95) of instants, s since 1970."""
    index = pd.to_datetime(np.asarray(starts_s).astype(np.int64), unit="s", utc=True).tz_convert(zone)
    clock = index.tz_localize(None).as_unit("s").asi8
    return clock // 86400, clock % 86400 // QUARTER_S


def date_of(day: int) -> dt.date:
    """Return the date of a local day number."""
    return dt.date.fromordinal(int(day) + _EPOCH)


@dataclass(frozen=True)
class Quarters:
    """Every quarter hour from the first to the last sample, shape (q,); NaN where it has no value.

    ``start`` in s since 1970 UTC; ``day`` and ``slot`` local; ``mean``, ``low``, ``high`` in degC.
    """

    start: Ints
    day: Ints
    slot: Ints
    mean: Floats
    low: Floats
    high: Floats

    @classmethod
    def of(cls, t: Floats, x: Floats, zone: ZoneInfo) -> Quarters:
        """Summarise samples: ``t`` s ascending, ``x`` degC; NaN values count as absent."""
        t, x = (t, x) if not np.isnan(x).any() else (t[~np.isnan(x)], x[~np.isnan(x)])
        number = np.floor(t / QUARTER_S).astype(np.int64)
        if not number.size:
            none = np.empty(0, dtype=np.int64)
            return cls(none, none, none, x, x, x)
        starts = np.flatnonzero(np.diff(number, prepend=number[0] - 1))
        counts = np.diff(np.append(starts, x.size))
        at = number[starts] - number[0]
        start = (number[0] + np.arange(at[-1] + 1)) * QUARTER_S
        mean, low, high = (np.full(start.size, np.nan) for _ in range(3))
        mean[at] = np.add.reduceat(x, starts) / counts
        low[at] = np.minimum.reduceat(x, starts)
        high[at] = np.maximum.reduceat(x, starts)
        day, slot = local(start, zone)
        return cls(start, day, slot, mean, low, high)

    def by_day(self, values: Floats) -> Floats:
        """Return values as a table (days from the first, quarters of the day), NaN where there is none."""
        table = np.full((int(self.day[-1] - self.day[0]) + 1, SLOTS), np.nan)
        table[self.day - self.day[0], self.slot] = values
        return table


def runs(marked: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Return first and past-the-last position of every unbroken run of marked positions."""
    edges = np.flatnonzero(np.diff(marked.astype(np.int8), prepend=0, append=0))
    return [(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]
