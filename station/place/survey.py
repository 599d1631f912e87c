"""The survey of a place: spans, days, openings, sessions, forecast and verdict from one probe's record."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pandas as pd

from station.place.days import Days, bare
from station.place.exposure import Exposure, expose
from station.place.forecast import (
    STEP_MIN,
    Calendar,
    calendar_table,
    chance_in_session,
    forecast_table,
    planned,
    sketched,
    sky_calendar,
)
from station.place.hints import Beside
from station.place.minutes import to_the_minute
from station.place.recurring import WHOLE
from station.place.spans import day_table, span_table, sun_spans
from station.place.verdict import Verdict, judge
from station.record.model import School, Sessions, Site

OPENINGS = ("azimuth_from", "azimuth_to", "elevation_from", "elevation_to", "probability", "excess_c")
#: A day is recorded from this share on: less, and the probe was set out late or taken in early (common
#: sense: under ten minutes of school hours).
RECORDED = 0.02


@dataclass(frozen=True)
class Survey:
    """Everything said about one place.

    Attributes
    ----------
    verdict : Verdict
    days : DataFrame
        One row a recorded day: ``date, clear, logged, school``.
    spans : DataFrame
        One row a span of sun: ``date, start, end`` (UTC), ``probability, excess_c``.
    openings : DataFrame
        ``azimuth_from, azimuth_to, elevation_from, elevation_to`` (degrees, as far as seen lit),
        ``probability, excess_c``.
    sessions : DataFrame
        Recorded sessions: ``date, session, sunlit_probability``.
    forecast : DataFrame
        Planned sessions after the record: ``date, session, sunlit_probability, start, end`` and 80 % limits.
    ahead : DataFrame
        The sun on every coming day under a clear sky: ``date, start, end`` and 80 % limits.
    calendar : Calendar
        Recorded and coming days.
    exposure : Exposure or None
        The grid behind it; None where nothing was recorded.
    hours : (time, time)
        School hours, local.
    sketched : bool
        The forecast rests on a sketch alone.
    """

    verdict: Verdict
    days: pd.DataFrame
    spans: pd.DataFrame
    openings: pd.DataFrame
    sessions: pd.DataFrame
    forecast: pd.DataFrame
    ahead: pd.DataFrame
    calendar: Calendar
    exposure: Exposure | None
    hours: tuple[dt.time, dt.time]
    sketched: bool = False

    @property
    def recorded(self) -> list[dt.date]:
        """Dates of which more than ``RECORDED`` was recorded (of school hours, on school days)."""
        return list(self.days.loc[self.days["logged"].astype(float) > RECORDED, "date"])

    @property
    def lit_days(self) -> int:
        """How many of these days show a span of sun."""
        return len(set(self.spans["date"]) & set(self.recorded))


def survey(
    samples: pd.DataFrame,
    site: Site,
    school: School | None = None,
    sessions: Sessions | None = None,
    weather: pd.DataFrame | None = None,
    weeks: int = 8,
    *,
    notes: pd.DataFrame | None = None,
    sketch: pd.DataFrame | None = None,
    beside: Callable[[Days], Beside] | None = None,
    in_the_open: bool = False,
) -> Survey:
    """Survey a place from its probe's record.

    Parameters
    ----------
    samples
        Usable samples of the probe, SAMPLES; the clock's confirmed shifts applied.
    site
        With latitude and longitude.
    school, sessions
        School days and hours; when the class reads.
    weather
        Hourly air temperature of the region, SAMPLES, or None.
    weeks
        How far to look ahead.
    notes, sketch, beside, in_the_open
        As for ``expose``.
    """
    school, sessions = school or School(), sessions or Sessions()
    if not samples["celsius"].notna().any():
        return _without_record(site, school, sessions, weeks, sketch)
    found = expose(
        samples, site, school, weather, notes=notes, sketch=sketch, beside=beside, in_the_open=in_the_open,
        indoor_c=sessions.indoor_c,
    )  # fmt: skip
    spans = to_the_minute(span_table(found, site), samples)
    openings, excess = _openings(found)
    dates = found.days.dates(site)
    first, last = dates[0], dates[-1]
    calendar = sky_calendar(found, site, first, last + dt.timedelta(weeks=weeks), sketch)
    held = planned(school, sessions, first, last)
    chances = chance_in_session(found.lit, found.days, site, sessions, held, found.first)
    recorded = [
        (date, name, chance)
        for (date, name), (chance, row, a, b) in zip(held, chances, strict=True)
        if row >= 0 and np.isfinite(found.days.celsius[row, found.first + a : found.first + b]).any()
    ]
    verdict = judge(found, excess, site, school, notes)
    shade_known = verdict.answer != "undecided" or not verdict.unexplained
    if 0.5 < found.all_day <= WHOLE:  # too likely for a small chance, and not likely enough to be drawn
        shade_known = False
    return Survey(
        verdict=verdict,
        days=day_table(found, site, school),
        spans=spans,
        openings=openings,
        sessions=pd.DataFrame(recorded, columns=["date", "session", "sunlit_probability"]),
        forecast=forecast_table(calendar, school, sessions, site, last + dt.timedelta(days=1),
                                last + dt.timedelta(weeks=weeks), shade_known),
        ahead=calendar_table(calendar, site, last + dt.timedelta(days=1), last + dt.timedelta(weeks=weeks)),
        calendar=calendar,
        exposure=found,
        hours=(school.day_start, school.day_end),
    )  # fmt: skip


def _without_record(
    site: Site, school: School, sessions: Sessions, weeks: int, sketch: pd.DataFrame | None
) -> Survey:
    """Return what a sketch and the sun's path say of the planned run, or nothing."""
    first = school.first or dt.date.today()
    last = first + dt.timedelta(weeks=weeks)
    drawn = sketch is not None and len(sketch) >= 3
    if drawn and sketch is not None:
        calendar = sketched(site, first, last, sketch)
        ahead = forecast_table(calendar, school, sessions, site, first, last)
    else:
        days = bare(first, first, site, STEP_MIN)
        calendar = Calendar(days, np.zeros(days.celsius.shape), [[]], np.ones(1, bool))
        ahead = forecast_table(calendar, school, sessions, site, first, first - dt.timedelta(days=1))
    return Survey(
        verdict=Verdict("undecided", 0.0, 1.0, 0.0),
        days=pd.DataFrame(columns=["date", "clear", "logged", "school"]),
        spans=pd.DataFrame(columns=["date", "start", "end", "probability", "excess_c"]),
        openings=pd.DataFrame(columns=list(OPENINGS)),
        sessions=pd.DataFrame(columns=["date", "session", "sunlit_probability"]),
        forecast=ahead,
        ahead=calendar_table(calendar, site, first, last),
        calendar=calendar,
        exposure=None,
        hours=(school.day_start, school.day_end),
        sketched=drawn,
    )


def _openings(found: Exposure) -> tuple[pd.DataFrame, dict[int, float]]:
    """Return the openings as patches of the sky, with the typical excess of each."""
    spans = sun_spans(found)
    azimuth = found.days.azimuth[:, found.first : found.first + found.lit.shape[1]]
    table, excess = [], {}
    for index, opening in enumerate(found.openings):
        inside = opening.seen_inside(found.path) > 0.5
        own = [(b - a, e) for row, a, b, _, e in spans if inside[row, a:b].mean() > 0.5]
        typical = float(np.average([e for _, e in own], weights=[n for n, _ in own])) if own else 0.0
        excess[index] = typical
        seen = inside & (found.path.elevation > 0)
        if not seen.any():
            continue
        turn = np.radians(azimuth[seen])
        middle = np.degrees(np.arctan2(np.sin(turn).mean(), np.cos(turn).mean()))
        off = (azimuth[seen] - middle + 180) % 360 - 180
        elevation = found.path.elevation[seen]
        sides = (middle + off.min()) % 360, (middle + off.max()) % 360
        table.append((*sides, elevation.min(), elevation.max(), opening.real, typical))
    return pd.DataFrame(table, columns=list(OPENINGS)), excess
