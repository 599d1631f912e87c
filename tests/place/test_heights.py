"""Level lines that shut a part of an opening: many dark cells at one elevation tell them, nothing less."""

import datetime as dt
from dataclasses import replace
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest

from station.base.sun import position
from station.place.forecast import sky_calendar
from station.place.heights import Bound, find_bounds
from station.place.survey import Survey, survey
from station.record.columns import SAMPLES
from station.record.model import Site

SITE = Site(ZoneInfo("America/Chicago"), "place", 44.3, -91.4, 220.0)
STEP, M, D, NOON = 2, 160, 8, 80


@pytest.fixture(scope="module")
def elevation() -> np.ndarray:
    """The sun's, higher from day to day: at noon 40 to 42.1 degrees."""
    column = np.arange(M)
    return 40 - 0.002 * (column - NOON) ** 2 + 0.3 * np.arange(D)[:, None]


INSIDE = np.zeros((D, M), bool)
INSIDE[:, 50:110] = True


def found(lit: np.ndarray, elevation: np.ndarray, out: float = 0.7) -> dict[bool, float]:
    """The likeliest line above (True) and below (False)."""
    bounds = find_bounds(lit, INSIDE, np.full((D, M), out), np.ones((D, M), bool), elevation, STEP)
    return {b.above: float(b.elevations[np.argmax(b.weights)]) for b in bounds}


def shone(open_: np.ndarray) -> np.ndarray:
    return np.where(INSIDE & open_, 0.98, 0.02)


def test_what_the_sun_passes_behind_at_noon_is_a_line_above(elevation):
    lines = found(shone(elevation < 40.9), elevation)
    assert lines == {True: pytest.approx(40.9, abs=0.15)}


def test_what_shuts_the_ends_of_a_window_is_a_line_below(elevation):
    lines = found(shone(elevation > 39.3), elevation)
    assert lines == {False: pytest.approx(39.3, abs=0.15)}


def test_an_opening_without_such_a_line_has_none(elevation):
    assert found(shone(elevation > 0), elevation) == {}


@pytest.mark.parametrize("row", [1, 7])
def test_a_cloud_at_noon_of_one_day_is_no_line(elevation, row):
    lit = shone(elevation > 0)
    lit[row, 70:95] = 0.02
    assert found(lit, elevation) == {}


def test_a_dull_day_neither_makes_a_line_nor_forbids_one(elevation):
    lit = shone(elevation > 0)
    lit[5:] = 0.02
    assert found(lit, elevation, out=0.4) == {}
    cut = shone(elevation < 40.9)
    cut[2] = 0.02
    assert found(cut, elevation, out=0.5) == {True: pytest.approx(40.9, abs=0.15)}


def test_a_door_in_the_dark_part_does_not_forbid_the_line(elevation):
    lit = shone(elevation < 40.9)
    lit[4:, 76:82] = 0.98  # twelve minutes on four days
    assert found(lit, elevation) == {True: pytest.approx(40.9, abs=0.15)}


def test_a_line_leaves_the_light_that_was_read(elevation):
    lit = np.where(INSIDE, 0.02, 0.0)
    lit[0, 52:70] = lit[3, 90:108] = 0.98  # a weak sun, seen on two days: no reason to shut all the rest
    lit[5, 74:88] = 0.98
    for bound in find_bounds(lit, INSIDE, np.full((D, M), 0.7), np.ones((D, M), bool), elevation, STEP):
        assert (lit * INSIDE * bound.inside(elevation)).sum() > 0.85 * (lit * INSIDE).sum()


def test_a_line_that_only_trims_an_end_is_the_edge_s(elevation):
    flat = elevation[:1].repeat(D, axis=0)
    lit = shone(flat > flat[0, 51])  # four minutes in the morning, two in the afternoon
    assert found(lit, flat) == {}


def test_nothing_recorded_tells_nothing(elevation):
    never = np.zeros((D, M), bool)
    assert find_bounds(np.full((D, M), 0.5), INSIDE, np.full((D, M), 0.5), never, elevation, STEP) == ()


def test_a_bound_is_as_wide_as_its_line_is_unsure():
    lines, weights = np.array([30.0, 30.1, 30.2]), np.array([0.25, 0.5, 0.25])
    at = np.array([20.0, 30.0, 30.1, 30.2, 40.0])
    assert Bound(True, lines, weights).inside(at) == pytest.approx([1, 0.75, 0.25, 0, 0])
    assert Bound(False, lines, weights).inside(at) == pytest.approx([0, 0.25, 0.75, 1, 1])


ROOF_DEG = 34.6


@pytest.fixture(scope="module")
def under_a_roof() -> tuple[pd.DataFrame, pd.DatetimeIndex, np.ndarray]:
    """A window around noon, over whose roof the sun climbs within days; the record of eight of them."""
    rng = np.random.default_rng(4)
    start = pd.Timestamp(dt.date(2026, 2, 16), tz=SITE.zone).tz_convert("UTC")
    times = pd.date_range(start, periods=11 * 1440, freq="1min").as_unit("us")
    sun = position(times, SITE.latitude, SITE.longitude)
    open_ = (sun.azimuth_deg > 155) & (sun.azimuth_deg < 205) & (sun.elevation_deg < ROOF_DEG)
    air = 5 - 4 * np.cos(2 * np.pi * (np.arange(times.size) % 1440 - 180) / 1440)
    felt = air + 5.0 * open_ * np.exp(rng.normal(0, 0.1, times.size)) + rng.normal(0, 0.05, times.size)
    frame = pd.DataFrame({"time": times, "celsius": np.round(felt * 16) / 16}).astype(dict(SAMPLES))
    return frame[: 8 * 1440], times, open_


@pytest.fixture(scope="module")
def roof(under_a_roof) -> tuple[Survey, pd.DatetimeIndex, np.ndarray]:
    record, times, open_ = under_a_roof
    return survey(record, SITE, weeks=1), times, open_


def test_a_roof_that_the_sun_passes_behind_at_noon_bounds_the_opening(roof):
    (bound,) = (b for o in roof[0].exposure.openings for b in o.bounds)
    assert bound.above
    assert bound.elevations[np.argmax(bound.weights)] == pytest.approx(ROOF_DEG, abs=0.2)


def test_behind_such_a_roof_a_coming_day_has_two_windows(roof):
    found, times, open_ = roof
    for day in range(8, 11):
        inside = np.flatnonzero(open_ & (np.arange(times.size) // 1440 == day))
        cuts = np.flatnonzero(np.diff(inside) > 1)
        true = [inside[0], inside[cuts[0]] + 1, inside[cuts[0] + 1], inside[-1] + 1]
        ahead = found.ahead[found.ahead["date"] == times[inside[0]].tz_convert(SITE.zone).date()]
        assert len(ahead) == 2
        said = [(t - times[0]) / pd.Timedelta(minutes=1) for t in ahead[["start", "end"]].to_numpy().ravel()]
        assert said == pytest.approx(true, abs=3)


def test_under_a_line_the_sun_comes_later_and_goes_earlier(roof):
    found, day = roof[0].exposure, dt.date(2026, 2, 17)
    (one,) = (o for o in found.openings if o.real > 0.5)
    below = replace(one, bounds=(Bound(False, np.array([32.5]), np.ones(1)),))
    calendar = sky_calendar(replace(found, openings=(below,)), SITE, day, day)
    (((start, end, *_),),) = calendar.edges
    height = np.interp([start, end], np.arange(1440), calendar.days.elevation[0])
    assert height == pytest.approx([32.5, 32.5], abs=0.15)


def test_nothing_bounds_the_sky_of_a_probe_in_the_open(under_a_roof):
    openings = survey(under_a_roof[0], SITE, weeks=1, in_the_open=True).exposure.openings
    assert openings
    assert not any(opening.bounds for opening in openings)
