"""What is known of a record before the sun is sought in it."""

from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest

from station.place.chain import LEVELS
from station.place.ground import prepare
from station.record.columns import SAMPLES
from station.record.model import Site

SITE = Site(ZoneInfo("America/Chicago"), "court", 44.3, -91.4, 220.0)


def test_a_warm_wall_s_glow_after_much_sun_is_no_sun():
    """Two degrees above the air: after an hour of strong sun they are likelier a glow than after none."""
    times = pd.date_range("2026-10-12T06:00", periods=1440, freq="1min", tz="UTC").as_unit("us")
    celsius = np.full(1440, 10.0)
    celsius[600:660], celsius[660:690] = 19.0, 12.0
    frame = pd.DataFrame({"time": times, "celsius": celsius}).astype(dict(SAMPLES))
    ground = prepare(frame, SITE, None, None, None, None, False, 20.5)
    shaded = ground.celsius < 11.0
    warm = np.nan_to_num(ground.celsius) == 12.0
    sun = np.where(np.nan_to_num(ground.celsius) == 19.0, 9.0, 0.0)
    odds = []
    for before in (np.zeros_like(sun), sun):
        told = ground.by_the_shade(shaded, before, 0.06)
        odds.append((told[warm, 0] - told[warm, 1 : 1 + len(LEVELS)].max(axis=1)).mean())
    assert odds[1] > odds[0] + 0.05


def test_what_is_restless_inside_of_windows_alone_is_calm_around_them():
    """The share of the day counts what was recorded by daylight and lies within or right beside a window."""
    times = pd.date_range("2026-10-12T05:00", periods=2880, freq="1min", tz="UTC").as_unit("us")
    celsius = np.full(2880, 10.0)
    lively = np.flatnonzero((times.hour >= 17) & (times.hour < 20))
    celsius[lively] += np.where(lively // 2 % 2, 0.3, -0.3)
    frame = pd.DataFrame({"time": times, "celsius": celsius}).astype(dict(SAMPLES))
    ground = prepare(frame, SITE, None, None, None, None, False, 20.5)
    none = np.zeros(ground.celsius.shape, bool)
    restless_there = np.abs(ground.celsius - 10.0) > 0.1
    share, restless = ground.around(none)
    assert share == 0.0
    assert restless > 0.02
    share, restless = ground.around(restless_there)
    light = ground.seen & (ground.path.elevation > 5)
    assert share == pytest.approx((180 + 12) / (light.sum(axis=1).max() * ground.days.step), abs=0.02)
    assert restless == 0.0


def swinging(share: float) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Three days at a place that swings so much more than its region, and the region's hourly series."""
    times = pd.date_range("2026-10-12T05:00", periods=4320, freq="1min", tz="UTC").as_unit("us")
    swing = -7 * np.cos(2 * np.pi * (np.arange(4320) - 300) / 1440)
    place = pd.DataFrame({"time": times, "celsius": 9.0 + (1 + share) * swing}).astype(dict(SAMPLES))
    region = pd.DataFrame({"time": times, "celsius": 10.0 + swing}).astype(dict(SAMPLES))
    return place, region[::60].reset_index(drop=True)


@pytest.mark.parametrize("share", [-0.3, 0.0, 0.3])
def test_a_shaded_place_may_swing_by_day_more_or_less_than_its_region(share):
    ground = prepare(swinging(share)[0], SITE, swinging(share)[1], None, None, None, False, 20.5)
    assert ground.regional
    everywhere = np.ones(ground.days.celsius.shape, bool)
    assert np.nanmax(np.abs(ground.warmth(everywhere))) < 0.5
    evidence = ground.by_itself(everywhere)
    assert (evidence[:, :, 0] >= evidence[:, :, 1:].max(axis=2)).all()


def test_what_the_sun_adds_is_no_swing_where_it_is_left_out():
    place, region = swinging(0.3)
    sun = np.isin(np.arange(len(place)) % 1440, np.arange(780, 840))
    bare = prepare(place, SITE, region, None, None, None, False, 20.5)
    ground = prepare(
        place.assign(celsius=place["celsius"] + 5.0 * sun), SITE, region, None, None, None, False, 20.5
    )
    lit = ground.days.celsius - bare.days.celsius > 1
    warm = ground.warmth(~lit)
    lit = lit[:, ground.first : ground.first + warm.shape[1]]
    assert warm[lit] == pytest.approx(5.0, abs=0.5)
    assert np.nanmax(np.abs(warm[~lit])) < 0.5


def test_a_usual_day_of_the_record_itself_is_no_region():
    ground = prepare(swinging(0.3)[0], SITE, None, None, None, None, False, 20.5)
    assert not ground.regional
    assert [look.swing for look in ground.looks] == [None]
