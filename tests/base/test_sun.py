import datetime as dt
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest

from station.base import sun
from station.base.exceptions import StationException

UTC = ZoneInfo("UTC")


def test_pandas_and_numpy_times_agree_whatever_their_zone():
    index = pd.date_range("2026-10-31", periods=72, freq="1h", tz="America/Chicago")
    plain = index.tz_convert("UTC").tz_localize(None).to_numpy()
    for times in (index, index.to_series().reset_index(drop=True), index.tz_convert("UTC")):
        assert np.array_equal(sun.position(times, 44.3, -91.4), sun.position(plain, 44.3, -91.4))


def test_a_naive_pandas_time_is_refused():
    with pytest.raises(StationException, match="time zone"):
        sun.position(pd.date_range("2026-01-01", periods=3, freq="1h"), 44.3, -91.4)


def test_no_times_give_no_positions():
    place = sun.position(np.array([], dtype="datetime64[us]"), 44.3, -91.4)
    assert place.azimuth_deg.shape == place.elevation_deg.shape == (0,)


def test_order_of_times_does_not_matter():
    times = np.datetime64("2026-01-01", "us") + np.arange(0, 365 * 24, 7) * np.timedelta64(1, "h")
    shuffled = np.random.default_rng(1).permutation(times.size)
    ordered = sun.position(times, -33.0, 151.0)
    mixed = sun.position(times[shuffled], -33.0, 151.0)
    assert np.allclose(mixed.elevation_deg, ordered.elevation_deg[shuffled], atol=1e-9)


def test_interpolated_angles_stay_within_one_arcsecond_of_the_dense_computation(monkeypatch):
    times = np.datetime64("2026-01-01", "us") + np.arange(0, 366 * 1440, 7) * np.timedelta64(1, "m")
    fast = sun.position(times, 44.3, -91.4)
    monkeypatch.setattr(sun, "_interpolated", sun._apparent)
    dense = sun.position(times, 44.3, -91.4)
    turn = (fast.azimuth_deg - dense.azimuth_deg + 180) % 360 - 180
    across = turn * np.cos(np.radians(dense.elevation_deg))
    assert np.abs(fast.elevation_deg - dense.elevation_deg).max() <= 1 / 3600
    assert np.abs(across).max() <= 1 / 3600


def test_the_sun_rises_in_the_east_and_stands_north_at_noon_in_the_south():
    day = sun.events(dt.date(2026, 3, 20), ZoneInfo("Australia/Sydney"), -33.9, 151.2)
    assert day.sunrise is not None
    assert day.sunset is not None
    moments = [e.replace(tzinfo=None) for e in (day.sunrise, day.noon, day.sunset)]
    azimuth = sun.position(np.array(moments, "datetime64[us]"), -33.9, 151.2).azimuth_deg
    assert (azimuth + 180) % 360 == pytest.approx([270, 180, 90], abs=1.0)


def test_no_rise_and_no_set_in_a_polar_summer_and_winter():
    for date in (dt.date(2026, 6, 21), dt.date(2026, 12, 21)):
        day = sun.events(date, UTC, 78.0, 15.0)
        assert day.sunrise is None
        assert day.sunset is None


def test_events_belong_to_the_local_date_on_the_day_the_clocks_go_back():
    zone = ZoneInfo("America/Chicago")
    before, after = (sun.events(dt.date(2026, m, d), zone, 44.3, -91.4) for m, d in ((10, 31), (11, 1)))
    assert before.noon.astimezone(zone).hour == 12
    assert after.noon.astimezone(zone).hour == 11
    assert abs((after.noon - before.noon) / dt.timedelta(minutes=1) - 1440) < 1


def test_refraction_lifts_at_the_horizon_and_not_below_it():
    lift = sun.refraction(np.array([-5.0, 0.0, 45.0]))
    assert lift[0] == 0
    assert 0.4 < lift[1] < 0.6
    assert 0 < lift[2] < 0.02
