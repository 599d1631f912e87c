"""The coming weeks: when the sun will stand in an opening, and whether a session falls into it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from station.base.time import to_utc
from station.place.days import Days, bare, to_datetime
from station.place.exposure import Exposure
from station.place.gaps import gaps_elsewhere
from station.place.hints import sketch_prior
from station.place.openings import Path
from station.place.recurring import Opening
from station.place.windows import runs
from station.record.model import School, Sessions, Site

Array = NDArray[np.float64]

#: A session is in the sun when this much of it is [min].
ENOUGH_MIN = 5.0
#: Times of the sun are given with a session that has at least this chance of it.
TOUCHING = 0.1
#: Minutes of a column of the calendar, whatever the record's: an edge is then half a minute off at most.
STEP_MIN = 1
#: The sun warms by a degree so long before an opening's lines, drawn from a record of two-minute means, say
#: that it comes [min] (measured on tuning sites without leaves: windows began 0.4 minutes late and ended in
#: time).
BEFORE_MIN = 0.4
#: Noon elevation this far from every recorded day's: the sky there was never seen [degrees].
UNSEEN_DEG = 8.0
#: Weight of the lines beyond each 80 % limit (tuned on forecasts: with 0.15 beyond each the limits held 76 %
#: of 324 edges of 200 sites, with 0.12 78 %).
OUTSIDE = 0.12
#: Where 80 % limits of an edge lie farther apart than this, they are given and no time between them [min].
WIDE_MIN = 45.0
_MOMENTS = ("start", "end", "start_low", "start_high", "end_low", "end_high")


@dataclass(frozen=True)
class Calendar:
    """The chance that each cell of a run of days is open to the sun, clouds apart.

    ``open`` has shape (d, m) on the grid ``days``; ``edges`` lists for each row the windows as
    (from, to, from_low, from_high, to_low, to_high) in columns, low and high holding 80 %.
    """

    days: Days
    open: Array
    edges: list[list[tuple[float, float, float, float, float, float]]]
    unseen: NDArray[np.bool_]


def sky_calendar(
    found: Exposure, site: Site, first: dt.date, last: dt.date, sketch: pd.DataFrame | None = None
) -> Calendar:
    """Carry the openings to every day from ``first`` to ``last``."""
    days = bare(first, last, site, STEP_MIN)
    path = Path.of(days.azimuth, days.elevation)
    m = days.azimuth.shape[1]
    up = days.elevation > 0
    closed = np.ones(days.azimuth.shape)
    edges: list[list[tuple[float, float, float, float, float, float]]] = [[] for _ in days.start]
    for opening in found.openings:
        inside = np.empty(closed.shape)
        for row in range(len(days.start)):
            enter = opening.entering.spread(path, row, m, -BEFORE_MIN / STEP_MIN)
            leave = opening.leaving.spread(path, row, m)
            inside[row] = enter * (1 - leave) * opening.within(path.elevation[row])
            for came, left in _parts(opening, enter, leave, path.elevation[row], path.noon[row]):
                if opening.real > 0.5 and (came * (1 - left) * up[row]).max() > 0.5:
                    edges[row].append(_quantiles(came, left))
        closed *= 1 - opening.real * inside
    rest = _unknown(found, days, sketch_prior(days.azimuth, days.elevation, sketch))
    lit = (1 - closed) * (1 - gaps_elsewhere(found.gaps, found.path, path))
    # A likely whole day that nothing shades is an opening with edges of its own, or else not told.
    whole = found.all_day if found.all_day <= 0.5 else 0.0
    open_ = np.where(up, 1 - (1 - lit) * (1 - rest) * (1 - whole), 0.0)
    noon = days.elevation.max(axis=1)
    seen = found.days.elevation.max(axis=1)
    unseen = np.min(np.abs(noon[:, None] - seen[None, :]), axis=1) > UNSEEN_DEG
    return Calendar(days, open_, edges, unseen)


def _parts(
    opening: Opening, enter: Array, leave: Array, elevation: Array, noon: int
) -> list[tuple[Array, Array]]:
    """Return the chances of having come in and of having left by each column of one day, for each window.

    A level line below lets the sun in later and out earlier; one above, if it shuts the sun out at noon,
    leaves two windows.
    """
    rising = np.arange(len(elevation)) <= noon
    below, above = opening.within(elevation, above=False), opening.within(elevation, above=True)
    enter, leave = enter * np.where(rising, below, 1), 1 - (1 - leave) * np.where(rising, 1, below)
    if above[noon] > 0.5:
        return [(enter, leave)]
    return [
        (enter, np.where(rising, 1 - (1 - leave) * above, 1.0)),
        (np.where(rising, 0.0, enter * above), leave),
    ]


def _quantiles(enter: Array, leave: Array) -> tuple[float, float, float, float, float, float]:
    def at(chance: Array, q: float) -> float:
        i = int(np.searchsorted(chance, q))
        if i == 0 or i >= len(chance):
            return float(min(i, len(chance)))
        low, high = chance[i - 1], chance[i]
        return i - 0.5 + float((q - low) / (high - low))  # a column counts from its middle on

    low, high = OUTSIDE, 1 - OUTSIDE
    return at(enter, 0.5), at(leave, 0.5), at(enter, low), at(enter, high), at(leave, low), at(leave, high)


def _unknown(found: Exposure, days: Days, prior: Array) -> Array:
    """Return the chance that a cell is open although no window was found there, shape of ``days``.

    Where recorded clear days showed shade at that time it is small; where nothing was recorded it is the
    share of any sky that is open.
    """
    noon, seen = days.elevation.max(axis=1), found.days.elevation.max(axis=1)
    weight = np.exp(-np.abs(noon[:, None] - seen[None, :]) / 4.0)
    shade = np.zeros(found.days.celsius.shape)
    shade[:, found.first : found.first + found.lit.shape[1]] = np.minimum(found.evidence, 0)
    told = np.repeat(weight @ shade, found.days.step // days.step, axis=1)
    return np.asarray(1 / (1 + np.exp(-(np.log(prior / (1 - prior)) + told))))


def sketched(site: Site, first: dt.date, last: dt.date, sketch: pd.DataFrame) -> Calendar:
    """Return the calendar that a sketch alone gives."""
    days = bare(first, last, site, STEP_MIN)
    open_ = np.where(days.elevation > 0, sketch_prior(days.azimuth, days.elevation, sketch), 0.0)
    edges = [
        [(float(a), float(b), float(a), float(a), float(b), float(b)) for a, b in runs(row > 0.5, 0, 2)]
        for row in open_
    ]
    return Calendar(days, open_, edges, np.zeros(len(days.start), bool))


def planned(school: School, sessions: Sessions, first: dt.date, last: dt.date) -> list[tuple[dt.date, str]]:
    """Return every planned session between two dates; the run's planned end does not limit."""
    dates = [first + dt.timedelta(days=i) for i in range((last - first).days + 1)]
    return [(d, part.name) for d in dates if school.open_on(d) for part in sessions.parts]


def chance_in_session(
    chance: Array,
    days: Days,
    site: Site,
    sessions: Sessions,
    wanted: list[tuple[dt.date, str]],
    first: int = 0,
) -> list[tuple[float, int, int, int]]:
    """Return for each session the chance that it has enough sun, its row (-1: none) and its columns."""
    rows = {date: row for row, date in enumerate(days.dates(site))}
    parts = {p.name: p for p in sessions.parts}
    out = []
    for date, name in wanted:
        row = rows.get(date, -1)
        if row < 0:
            out.append((float("nan"), -1, 0, 0))
            continue
        start = np.datetime64(to_utc(date, parts[name].start, site.zone).replace(tzinfo=None), "us")
        a = int((start - days.start[row]) // np.timedelta64(days.step, "m")) - first
        b = a + max(round(parts[name].minutes / days.step), 1)
        inside = np.sort(chance[row, max(a, 0) : max(b, 0)])[::-1]
        enough = min(max(round(ENOUGH_MIN / days.step), 1), len(inside))
        out.append((float(inside[enough - 1]) if len(inside) else float("nan"), row, a, b))
    return out


def forecast_table(calendar: Calendar, school: School, sessions: Sessions, site: Site,
                   first: dt.date, last: dt.date, shade_known: bool = True) -> pd.DataFrame:  # fmt: skip
    """Return one row a planned session: ``date, session, sunlit_probability, start, end`` (UTC) and limits.

    The probability is that the session is in the sun if the sky is clear. ``start`` and ``end`` bound the
    sun that reaches into the session, ``NaT`` where it hardly can or where its limits lie far apart.
    No probability (NaN) is given where that part of the sky was never seen and, unless ``shade_known``, where
    no opening was found: a record that hints at sun which no window explains may hide one.
    """
    wanted = planned(school, sessions, first, last)
    table = []
    days = calendar.days
    for (date, name), (chance, row, a, b) in zip(
        wanted, chance_in_session(calendar.open, days, site, sessions, wanted), strict=True
    ):
        touching = (
            [e for e in calendar.edges[row] if e[2] < b and e[5] > a]
            if row >= 0 and chance >= TOUCHING
            else []
        )
        near = sorted(touching, key=lambda e: max(a - e[1], e[0] - b))
        moments: list[Any] = [
            to_datetime(days.start[row] + np.timedelta64(round(c * days.step * 60), "s"))
            for c in (near[0] if near else ())
        ]
        for moment, low, high in ((0, 2, 3), (1, 4, 5)):
            if moments and (moments[high] - moments[low]) > dt.timedelta(minutes=WIDE_MIN):
                moments[moment] = pd.NaT
        unsure = row >= 0 and bool(calendar.unseen[row]) and 0.02 < chance < 0.98
        unsure = unsure or not (shade_known or chance >= TOUCHING)
        table.append((date, name, float("nan") if unsure else chance, *(moments or [pd.NaT] * 6)))
    columns = ["date", "session", "sunlit_probability", *_MOMENTS]
    frame = pd.DataFrame(table, columns=columns)
    for name in _MOMENTS:
        frame[name] = pd.to_datetime(frame[name], utc=True).astype("datetime64[us, UTC]")
    return frame


def calendar_table(calendar: Calendar, site: Site, first: dt.date, last: dt.date) -> pd.DataFrame:
    """Return one row a window and day: ``date, start, end`` (UTC) under a clear sky, and 80 % limits."""
    days = calendar.days
    table = []
    for row, date in enumerate(days.dates(site)):
        if first <= date <= last:
            for edges in sorted(calendar.edges[row]):
                at = [days.start[row] + np.timedelta64(round(c * days.step * 60), "s") for c in edges]
                table.append((date, *map(to_datetime, at)))
    frame = pd.DataFrame(table, columns=["date", *_MOMENTS])
    for name in _MOMENTS:
        frame[name] = pd.to_datetime(frame[name], utc=True).astype("datetime64[us, UTC]")
    return frame
