import datetime as dt
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from station.record.model import School, Site
from station.scenario.plan import ClockTurn, ProbePlan, SkyWindow, Trouble
from station.scenario.probe import record, school_hours, sun_excess
from station.scenario.weather import Weather

SITE = Site(ZoneInfo("America/Chicago"), "here", 44.3, -91.4, 220.0)
START = dt.datetime(2026, 11, 2, 6, tzinfo=dt.UTC)  # local midnight


def at(hour: float) -> dt.datetime:
    return START + dt.timedelta(hours=hour)


def flat(hours: int = 24, air_c: float = 10.0) -> Weather:
    time = np.datetime64("2026-11-02T06:00:00") + np.arange(hours * 60) * np.timedelta64(60, "s")
    return Weather(time, np.full(len(time), air_c), np.ones(len(time)))


def samples(plan: ProbePlan, weather: Weather | None = None):
    weather = weather or flat()
    return record(np.random.default_rng(1), weather, np.zeros(len(weather.time)), plan, 0.0625, 20.5)


def test_values_are_whole_steps_about_air_plus_offset():
    frame = samples(ProbePlan(offset_c=0.3))
    assert np.array_equal(frame["celsius"] * 16, np.rint(frame["celsius"] * 16))
    assert frame["celsius"].mean() == pytest.approx(10.3, abs=0.02)


def test_probe_lags_a_step_by_its_time_constant():
    weather = flat()
    step = Weather(weather.time, np.where(np.arange(len(weather.time)) < 600, 10.0, 20.0), weather.sunshine)
    frame = samples(ProbePlan(time_constant_s=600.0), step)
    assert frame["celsius"][609] == pytest.approx(10 + 10 * (1 - np.exp(-1.0)), abs=0.15)


def test_troubles_show_as_gap_sentinels_and_room():
    troubles = (
        Trouble("asleep", at(2), at(4)),
        Trouble("power_on_value", at(5), at(6)),
        Trouble("disconnected_value", at(7), at(8)),
        Trouble("indoors", at(10), at(14)),
    )
    frame = samples(ProbePlan(troubles=troubles)).set_index("time")["celsius"]
    assert frame[at(2) : at(4) - dt.timedelta(minutes=1)].empty
    assert (frame[at(5) : at(5.9)] == 85.0).all()
    assert (frame[at(7) : at(7.9)] == -127.0).all()
    assert frame[at(11) : at(13.9)].between(19.0, 22.0).all()
    assert frame[at(16) :].between(9.0, 11.0).all()


@pytest.mark.parametrize("shift", [60.0, -60.0])
def test_a_turned_clock_moves_stamps_and_never_repeats_one(shift):
    frame = samples(ProbePlan(clock=(ClockTurn(at(6), at(12), shift),)))
    assert frame["time"].is_monotonic_increasing
    assert frame["time"].is_unique
    late = (frame["time"] - frame["true_time"]).dt.total_seconds() / 60
    inside = (frame["true_time"] >= at(6)) & (frame["true_time"] < at(12))
    assert (late[inside] == shift).all()
    assert (late[~inside] == 0).all()


def test_school_hours_keep_true_local_time_of_school_days():
    frame = samples(ProbePlan(), flat(hours=24 * 7))
    kept = school_hours(frame, SITE, School(closed=frozenset({dt.date(2026, 11, 4)})))
    local = kept["true_time"].dt.tz_convert(SITE.zone)
    assert sorted(set(local.dt.day)) == [2, 3, 5, 6]
    assert local.dt.strftime("%H:%M").min() == "08:15"
    assert local.dt.strftime("%H:%M").max() == "15:15"


def test_sun_warms_only_while_it_stands_in_the_opening():
    window = SkyWindow((205.0, 235.0), (5.0, 26.0), 6.0)
    excess = sun_excess(np.random.default_rng(2), flat(), SITE, window)
    lit = np.flatnonzero(excess > 1.0)
    first, last = lit[0] / 60, lit[-1] / 60  # local hours of 2 November
    assert first == pytest.approx(13 + 36 / 60, abs=0.2)  # the plan's own figure: 13:36-15:33
    assert last == pytest.approx(15 + 33 / 60, abs=0.4)  # the excess fades over minutes
    assert sun_excess(np.random.default_rng(2), flat(), SITE, None).max() == 0.0
