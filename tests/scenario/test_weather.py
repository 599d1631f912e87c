import datetime as dt
from types import MappingProxyType
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from station.record.model import Site
from station.scenario.plan import WeatherPlan
from station.scenario.weather import draw_weather, normal_c, smooth, wandering

SITE = Site(ZoneInfo("America/Chicago"), "here", 44.3, -91.4, 220.0)
FIRST, LAST = dt.date(2026, 10, 5), dt.date(2026, 11, 13)


def test_wandering_has_unit_variance_and_its_time_constant():
    walk = wandering(np.random.default_rng(1), 200_000, 20.0)
    assert walk.std() == pytest.approx(1.0, abs=0.05)
    assert np.corrcoef(walk[:-20], walk[20:])[0, 1] == pytest.approx(np.exp(-1.0), abs=0.05)
    starts = [wandering(np.random.default_rng(seed), 2, 50.0)[0] for seed in range(2000)]
    assert np.std(starts) == pytest.approx(1.0, abs=0.06)


def test_smooth_reaches_63_percent_of_a_step_after_one_time_constant():
    step = np.concatenate([[0.0], np.ones(100)])
    assert smooth(step, 30.0)[30] == pytest.approx(1 - np.exp(-1.0), abs=1e-9)


def test_seasons_follow_the_hemisphere():
    days = np.array([15.0, 200.0])
    north = normal_c(WeatherPlan(), SITE, days)
    south = normal_c(WeatherPlan(), Site(SITE.zone, latitude=-44.3), days)
    assert north[1] > north[0] + 15
    assert south[0] > south[1] + 15


def test_the_stretch_runs_from_local_midnight_to_midnight_across_the_clock_change():
    weather = draw_weather(np.random.default_rng(2), WeatherPlan(), SITE, FIRST, LAST, 60)
    assert str(weather.time[0]) == "2026-10-05T05:00:00"
    assert str(weather.time[-1]) == "2026-11-14T05:59:00"
    assert np.all(np.diff(weather.time) == np.timedelta64(60, "s"))
    assert np.abs(np.diff(weather.air_c)).max() < 1.0
    assert 0.0 <= weather.sunshine.min() <= weather.sunshine.max() <= 1.0


def test_clear_days_swing_more_and_are_warmest_in_the_afternoon():
    days = [FIRST + dt.timedelta(days=i) for i in range(40)]
    flat = MappingProxyType(dict.fromkeys(days, 0.0))
    swings = {}
    for name, share in (("clear", 0.97), ("dull", 0.03)):
        plan = WeatherPlan(departures=flat, skies=MappingProxyType(dict.fromkeys(days, share)))
        weather = draw_weather(np.random.default_rng(3), plan, SITE, FIRST, LAST, 300)
        by_day = weather.air_c[: 40 * 288].reshape(40, 288)
        swings[name] = float(np.median(by_day.max(axis=1) - by_day.min(axis=1)))
        hour = np.argmax(by_day.mean(axis=0)) / 12
        assert 14 < hour < 18
        assert weather.sunshine.mean() == pytest.approx(share, abs=0.05)
    assert swings["clear"] > 1.8 * swings["dull"]


def test_planned_departures_move_a_day():
    weather = [
        draw_weather(
            np.random.default_rng(4),
            WeatherPlan(departures=MappingProxyType({dt.date(2026, 10, 9): value})),
            SITE,
            FIRST,
            LAST,
            600,
        )
        for value in (0.0, -8.0)
    ]
    noon = np.datetime64("2026-10-09T18:06:00")  # local mean noon at 91.4 W
    seconds = float(noon.astype("datetime64[s]").astype(np.int64))
    difference = float(weather[1].air_at(seconds)) - float(weather[0].air_at(seconds))
    assert difference == pytest.approx(-8.0, abs=0.1)
