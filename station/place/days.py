"""A record as a picture of days: one row a day, one column a step of local solar time.

Solar midnight starts a row, so that neither a clock change nor a time zone cuts a day.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from station.base.sun import position
from station.record.model import School, Site

Array = NDArray[np.float64]
MINUTES = 1440
_DAY = np.timedelta64(86_400_000_000, "us")


@dataclass(frozen=True)
class Days:
    """A record on a grid of ``days`` rows and ``1440 / step`` columns.

    ``start`` is the UTC instant of each row's first column (shape (d,), datetime64[us]); ``step`` is in
    minutes; ``celsius``, ``azimuth`` and ``elevation`` have shape (d, m), NaN where nothing was recorded.
    """

    start: NDArray[np.datetime64]
    step: int
    celsius: Array
    azimuth: Array
    elevation: Array

    def times(self) -> NDArray[np.datetime64]:
        """Return the UTC instant of every cell, shape (d, m)."""
        columns = np.arange(self.celsius.shape[1]) * np.timedelta64(self.step, "m")
        return self.start[:, None] + columns[None, :]

    def dates(self, site: Site) -> list[dt.date]:
        """Return the site's date of every row (at its solar noon)."""
        return [at.date() for at in self._noons(site)]

    def clock(self, site: Site) -> Array:
        """Return the local clock of every cell, minutes from midnight, shape (d, m)."""
        noon = np.array([at.hour * 60 + at.minute + at.second / 60 for at in self._noons(site)])
        return noon[:, None] - 720.0 + np.arange(self.celsius.shape[1])[None, :] * self.step

    def _noons(self, site: Site) -> list[dt.datetime]:
        return [to_datetime(start + np.timedelta64(12, "h")).astimezone(site.zone) for start in self.start]

    def place(self, series: pd.DataFrame, longest_minutes: float) -> Array:
        """Return another series (SAMPLES) by straight lines on this grid, NaN across longer holes."""
        at = self.times().ravel()
        stamps = _stamps(series)
        values = series["celsius"].to_numpy(dtype=np.float64)
        if len(values) < 2:
            return np.full(self.celsius.shape, np.nan)
        right = np.clip(np.searchsorted(stamps, at), 1, len(stamps) - 1)
        gap = (stamps[right] - stamps[right - 1]) / np.timedelta64(1, "m")
        seconds = (at - stamps[0]) / np.timedelta64(1, "s")
        knots = (stamps - stamps[0]) / np.timedelta64(1, "s")
        inside = (at >= stamps[0]) & (at <= stamps[-1]) & (gap <= longest_minutes)
        return np.where(inside, np.interp(seconds, knots, values), np.nan).reshape(self.celsius.shape)


def to_datetime(instant: np.datetime64) -> dt.datetime:
    """Return a numpy instant (UTC) as an aware datetime."""
    return dt.datetime.fromisoformat(str(instant.astype("datetime64[us]"))).replace(tzinfo=dt.UTC)


def school_days(days: Days, site: Site, school: School) -> NDArray[np.bool_]:
    """Return the rows that are school days, shape (d,); planned ends of the run don't limit."""
    return np.array([school.open_on(d) for d in days.dates(site)], bool)


def school_hours(days: Days, site: Site, school: School) -> NDArray[np.bool_]:
    """Return the cells in school hours of school days, shape (d, m); planned ends of the run don't limit."""
    clock = days.clock(site)
    begin, end = (t.hour * 60 + t.minute for t in (school.day_start, school.day_end))
    return np.asarray((clock >= begin) & (clock < end) & school_days(days, site, school)[:, None])


def bare(first: dt.date, last: dt.date, site: Site, step: int) -> Days:
    """Return an empty grid of the sun alone from one date to another."""
    middle = [
        np.datetime64(
            dt.datetime.combine(d, dt.time(12), tzinfo=site.zone).astimezone(dt.UTC).replace(tzinfo=None),
            "us",
        )
        for d in (first, last)
    ]
    return _grid(row_start(site, middle[0], middle[1]), step, site)


def _grid(rows: NDArray[np.datetime64], step: int, site: Site, celsius: Array | None = None) -> Days:
    columns = MINUTES // step
    times = (rows[:, None] + np.arange(columns)[None, :] * np.timedelta64(step, "m")).ravel()
    place = position(times, site.latitude or 0.0, site.longitude or 0.0)
    shape = (len(rows), columns)
    empty = np.full(shape, np.nan) if celsius is None else celsius
    return Days(rows, step, empty, place.azimuth_deg.reshape(shape), place.elevation_deg.reshape(shape))


def _stamps(samples: pd.DataFrame) -> NDArray[np.datetime64]:
    return samples["time"].to_numpy(dtype="datetime64[us]")


def row_start(site: Site, first: np.datetime64, last: np.datetime64) -> NDArray[np.datetime64]:
    """Return the instants of mean solar midnight whose days cover ``first`` to ``last``."""
    offset = np.timedelta64(round((site.longitude or 0.0) * 240), "s")
    begin = (first + offset).astype("datetime64[D]")
    end = (last + offset).astype("datetime64[D]")
    return np.asarray(np.arange(begin, end + 1).astype("datetime64[us]") - offset)


def lay_out(samples: pd.DataFrame, site: Site) -> Days:
    """Average a record (SAMPLES) into steps of a minute, or of its own spacing if that is longer.

    Days without a sample have no row.
    """
    stamps = _stamps(samples)
    celsius = samples["celsius"].to_numpy(dtype=np.float64)
    good = np.isfinite(celsius)
    stamps, celsius = stamps[good], celsius[good]
    step = 1
    if len(stamps) > 1:
        spacing = float(np.median(np.diff(stamps) / np.timedelta64(1, "m")))
        step = next((s for s in (2, 3, 4, 5, 10, 15) if spacing <= s * 1.01), 20)
    columns = MINUTES // step
    rows = row_start(site, stamps[0], stamps[-1]) if len(stamps) else np.empty(0, "datetime64[us]")
    grid = np.full((len(rows), columns), np.nan)
    if len(stamps):
        cell = ((stamps - rows[0]) // np.timedelta64(step, "m")).astype(np.int64)
        total = np.bincount(cell, celsius, grid.size)
        count = np.bincount(cell, minlength=grid.size)
        with np.errstate(invalid="ignore"):
            grid = np.where(count > 0, total / count, np.nan).reshape(grid.shape)
        used = np.isfinite(grid).any(axis=1)
        rows, grid = rows[used], grid[used]
    return _grid(rows, step, site, grid)
