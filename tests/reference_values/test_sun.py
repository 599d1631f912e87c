"""Positions of the sun against published examples, an almanac's tables and a reference library."""

import datetime as dt
import time
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest

from station.base import sun

#: Mountain Standard Time all year, as the almanac's table prints it.
MST = ZoneInfo("Etc/GMT+7")


def test_zenith_and_azimuth_vs_nrel_spa_example():
    # NREL/TP-560-34302, appendix A.5: 2003-10-17 12:30:30 UTC-7 at 820 hPa and 11 degC.
    # We agree within 0.0002 degrees; the example's own claim is 0.0003.
    place = sun.position(np.array(["2003-10-17T19:30:30"], "datetime64[us]"), 39.742476, -105.1786, 1830.14)
    zenith = 90 - place.elevation_deg - sun.refraction(place.elevation_deg, 820.0, 11.0)
    assert zenith[0] == pytest.approx(50.11162, abs=0.001)
    assert place.azimuth_deg[0] == pytest.approx(194.34024, abs=0.001)


@pytest.mark.parametrize(
    ("date", "rise", "sets"),
    [
        ("2015-01-02", "07:19", "16:49"),
        ("2015-04-02", "05:43", "18:24"),
        ("2015-08-02", "05:01", "19:10"),
        ("2015-12-02", "07:01", "16:38"),
    ],
)
def test_rise_and_set_vs_usno_tables_2015(date, rise, sets):
    # U.S. Naval Observatory, rise and set for 2015, 39 N 105 W, whole minutes; ours rounded must equal them.
    day = sun.events(dt.date.fromisoformat(date), MST, 39.0, -105.0)
    for moment, printed in ((day.sunrise, rise), (day.sunset, sets)):
        assert moment is not None
        local = (moment + dt.timedelta(seconds=30)).astimezone(MST)
        assert f"{local:%H:%M}" == printed


@pytest.mark.parametrize("latitude", [60.0, 44.3, 25.0, -33.0, -52.0])
@pytest.mark.parametrize(("date", "sign"), [("2026-06-21", 1), ("2026-12-21", -1)])
def test_noon_elevation_vs_closed_form(latitude, date, sign):
    # 90 - |latitude - declination|; at a solstice the declination is the tilt of the ecliptic, IAU 1980:
    # 84381.448 - 46.815 T arcseconds, T in centuries from 2000; within 12 hours it bends by 0.0009 degrees,
    # and nutation and parallax stay below 0.005.
    declination = sign * (84381.448 - 46.815 * 0.265) / 3600
    noon = sun.events(dt.date.fromisoformat(date), ZoneInfo("UTC"), latitude, 0.0).noon
    at = sun.position(np.array([noon.replace(tzinfo=None)], "datetime64[us]"), latitude, 0.0)
    assert at.elevation_deg[0] == pytest.approx(90 - abs(latitude - declination), abs=0.006)


@pytest.mark.parametrize(
    ("latitude", "longitude"),
    [(60.2, 24.9), (44.3, -91.4), (25.0, 121.5), (-1.3, 36.8), (-33.9, 151.2), (-54.8, -68.3)],
)
def test_a_year_of_positions_vs_pvlib(latitude, longitude):
    # pvlib 0.16 (NREL's algorithm in numpy): asked for 0.01 degrees, found 0.0008; azimuths along the arc,
    # since their own differences grow without limit at the zenith.
    pvlib = pytest.importorskip("pvlib")
    times = pd.date_range("2026-01-01", "2027-01-01", freq="67min", tz="UTC")
    theirs = pvlib.solarposition.get_solarposition(times, latitude, longitude, altitude=200.0)
    ours = sun.position(times, latitude, longitude, 200.0)
    turn = (ours.azimuth_deg - theirs["azimuth"].to_numpy() + 180) % 360 - 180
    across = turn * np.cos(np.radians(ours.elevation_deg))
    assert np.abs(ours.elevation_deg - theirs["elevation"].to_numpy()).max() <= 0.002
    assert np.abs(across).max() <= 0.002


@pytest.mark.long
def test_time_for_a_year_of_minutes_vs_pvlib(capsys):
    # Prints the ratio of one run (about 70 to 90 on two shared cores); asserts only that both agree.
    pvlib = pytest.importorskip("pvlib")
    times = pd.date_range("2026-01-01", "2027-01-01", freq="1min", tz="UTC")
    sun.position(times, 44.3, -91.4)
    begin = time.perf_counter()
    ours = sun.position(times, 44.3, -91.4)
    between = time.perf_counter()
    theirs = pvlib.solarposition.get_solarposition(times, 44.3, -91.4)
    end = time.perf_counter()
    with capsys.disabled():
        print(f"\nyear of minutes: ours {between - begin:.3f} s, pvlib {end - between:.2f} s, "
              f"ratio {(end - between) / (between - begin):.0f}")  # fmt: skip
    assert np.abs(ours.elevation_deg - theirs["elevation"].to_numpy()).max() <= 0.002
