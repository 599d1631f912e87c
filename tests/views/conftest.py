"""A small invented class, drawn anew for each test run from a fixed start: frames, not files."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest

from station.assess import Assessment, cross_check
from station.base.time import to_utc
from station.record.columns import READINGS, SAMPLES, TABLES, TIME, Frames, empty
from station.record.model import Probe, Problem, School, Site, Thermometer
from station.settings import Settings

ZONE = ZoneInfo("America/Chicago")
FIRST = dt.date(2026, 10, 5)
TEAMS = ("Alder", "Beech", "Cedar", "Elm", "Fir", "Hazel", "Larch", "Oak")
#: How much each thermometer reads high [degC]; the fourth is beyond its promise.
OFFSETS = np.array([0.1, -0.2, 0.0, 1.8, 0.2, -0.1, 0.0, 0.3, -0.3, 0.1])
DAYS = 8
HOSTILE = '=HYPERLINK("x")'


def settings() -> Settings:
    """Return the class's settings: a probe checked to 0.1 degC, so that the band of 1 degC can be judged."""
    return Settings(
        site=Site(zone=ZONE, name="roofed walk"),
        school=School(first=FIRST, last=FIRST + dt.timedelta(days=11)),
        probes={"": Probe(name="grey lead", u_correction_c=0.1)},
        teams=TEAMS,
        box=Thermometer(accuracy_c=1.0),
    )


def air_c(seconds: np.ndarray) -> np.ndarray:
    """Return an invented daily wave of the air [degC] at seconds since the epoch."""
    days = seconds / 86400.0
    return 9.0 + 5.0 * np.sin(2.0 * np.pi * (days - 0.6)) + 1.5 * np.sin(2.0 * np.pi * days / 5.0)


def probe(every_s: int = 60) -> pd.DataFrame:
    """Return the record, with one morning missing and a day of power-on values."""
    start = to_utc(FIRST, dt.time(0, 0), ZONE).timestamp()
    seconds = np.arange(start, start + 12 * 86400.0, every_s)
    draw = np.random.default_rng(20261005)
    celsius = np.round((air_c(seconds) + draw.normal(0.0, 0.05, seconds.size)) / 0.0625) * 0.0625
    third = to_utc(FIRST + dt.timedelta(days=3), dt.time(6, 0), ZONE).timestamp()
    fifth = to_utc(FIRST + dt.timedelta(days=7), dt.time(6, 0), ZONE).timestamp()
    celsius[(seconds >= fifth) & (seconds < fifth + 12 * 3600.0)] = 85.0
    kept = (seconds < third) | (seconds >= third + 5 * 3600.0)
    time = pd.Series(pd.to_datetime(seconds[kept], unit="s", utc=True)).astype(TIME)
    return pd.DataFrame({"time": time, "celsius": celsius[kept]})


def readings(days: int = DAYS) -> pd.DataFrame:
    """Return the entries: every team reads both scales, thermometers drawn anew each session."""
    draw = np.random.default_rng(7)
    rows = []
    dates = [FIRST + dt.timedelta(days=d) for d in (0, 1, 2, 3, 4, 7, 8, 9, 10, 11)[:days]]
    for date in dates:
        for part, clock in (("morning", dt.time(9, 0)), ("afternoon", dt.time(14, 0))):
            middle = to_utc(date, clock, ZONE).timestamp() + 450.0
            truth = float(air_c(np.array([middle]))[0])
            for team, number in zip(TEAMS, draw.permutation(OFFSETS.size), strict=False):
                column = truth + OFFSETS[number]
                celsius = float(np.round(column + draw.normal(0.0, 0.35)))
                fahrenheit = float(2.0 * np.round((column * 1.8 + 32.0 + draw.normal(0.0, 0.6)) / 2.0))
                rows.append((date, part, team, str(number + 1), celsius, fahrenheit))
    frame = pd.DataFrame(rows, columns=["date", "session", "team", "thermometer", "celsius", "fahrenheit"])
    frame["celsius_written"] = [f"{c:g}" for c in frame["celsius"]]
    frame["fahrenheit_written"] = [f"{f:g}" for f in frame["fahrenheit"]]
    frame["time"] = pd.Series(pd.NaT, index=frame.index, dtype=TIME)
    frame["waited"] = np.nan
    frame["note"] = ""
    frame["line"] = np.arange(len(frame), dtype=np.int64) + 2
    # a slip of ten, a missing Fahrenheit and an absent team
    frame.loc[20, ["celsius", "celsius_written"]] = [frame.loc[20, "celsius"] + 10.0, "ten off"]
    frame.loc[21, ["fahrenheit", "fahrenheit_written"]] = [np.nan, ""]
    frame.loc[22, ["celsius", "fahrenheit", "celsius_written"]] = [np.nan, np.nan, "absent"]
    return frame.astype(dict(READINGS))[list(READINGS)]


def frames(**changes: object) -> Frames:
    """Return the whole class as frames; keywords replace whole parts."""
    coaching = pd.DataFrame(
        {"team": ["Fir"], "date": [FIRST + dt.timedelta(days=7)], "topic": ["waiting"]}
    ).astype(dict(TABLES["coaching"]))
    whole = Frames(
        probes={"": probe()},
        readings=readings(),
        tables={"coaching": coaching},
        problems=(Problem("readings.csv", 400, "the date 2026-13-01 does not exist", "2026-13-01,morning"),),
    )
    return replace(whole, **changes)  # type: ignore[arg-type]


def _renamed(column: str, old: str, new: str) -> pd.DataFrame:
    found = readings()
    found[column] = found[column].replace(old, new)
    return found


@pytest.fixture(scope="session")
def whole() -> Assessment:
    """A class of eight teams with a probe; a morning and a day without reference; one warm thermometer."""
    return cross_check(frames(), settings())


@pytest.fixture(scope="session")
def without_probe() -> Assessment:
    return cross_check(frames(probes={"": empty(SAMPLES)}), settings())


@pytest.fixture(scope="session")
def without_readings() -> Assessment:
    return cross_check(frames(readings=empty(READINGS), tables={}), settings())


@pytest.fixture(scope="session")
def tangled() -> Assessment:
    """Every team keeps one thermometer, so that the two can't be told apart."""
    kept = readings()
    kept["thermometer"] = kept["team"].map({team: str(i + 1) for i, team in enumerate(TEAMS)}).astype("str")
    return cross_check(frames(readings=kept), settings())


@pytest.fixture(scope="session")
def with_hostile_name() -> Assessment:
    """A team whose name a spreadsheet could run."""
    return cross_check(frames(readings=_renamed("team", "Elm", HOSTILE)), settings())


@pytest.fixture(scope="session", params=["fahrenheit", "both"])
def other_scale(request: pytest.FixtureRequest) -> Assessment:
    """A class that records Fahrenheit, or both scales."""
    school = replace(settings().school, class_scale=request.param)
    return cross_check(frames(), replace(settings(), school=school))


@pytest.fixture(scope="session")
def unchecked_probe() -> Assessment:
    """A probe whose maker's limits are wider than the band."""
    wide = replace(settings(), probes={"": Probe(name="grey lead", accuracy_c=2.0)})
    return cross_check(frames(), wide)
