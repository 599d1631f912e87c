"""What a probe in the open tells the survey of a place."""

import datetime as dt
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest

from station.base.sun import position
from station.place.places import survey_places
from station.place.survey import survey
from station.record.columns import SAMPLES
from station.record.model import School, Sessions, Site

SITE = Site(ZoneInfo("America/Chicago"), "place", 44.3, -91.4, 220.0)
DAYS = 6


@pytest.fixture(scope="module")
def sky() -> tuple[pd.DatetimeIndex, np.ndarray, np.ndarray]:
    """Minutes, the sun's height as a share of a high one, and whether clouds leave it out."""
    rng = np.random.default_rng(3)
    start = pd.Timestamp(dt.date(2026, 9, 14), tz=SITE.zone).tz_convert("UTC")
    times = pd.date_range(start, periods=DAYS * 1440, freq="1min").as_unit("us")
    beam = np.clip(position(times, SITE.latitude, SITE.longitude).elevation_deg / 20, 0, 1)
    out = np.ones(times.size, bool)
    at = 0
    while at < times.size:
        at += int(rng.exponential(30)) + 8
        length = int(rng.exponential(15)) + 8
        out[at : at + length] = False
        at += length
    return times, beam, out


def record(sky, excess_c: float, seed: int) -> pd.DataFrame:
    """A place that nothing shades; air and eddies are its own."""
    times, beam, out = sky
    rng = np.random.default_rng(seed)
    minute = np.arange(times.size)
    air = 12 - 5 * np.cos(2 * np.pi * (minute - 500) / 1440)
    eddies = np.convolve(rng.normal(0, 0.35, times.size), np.ones(6) / np.sqrt(6), "same") * (0.3 + beam)
    warm = np.convolve(excess_c * beam * out, np.ones(3) / 3, "same")
    celsius = np.round((air + eddies + warm) * 16) / 16
    return pd.DataFrame({"time": times, "celsius": celsius}).astype(dict(SAMPLES))


def on_minutes(found, times: pd.DatetimeIndex) -> np.ndarray:
    exposure = found.exposure
    lit = np.zeros(exposure.days.celsius.shape)
    lit[:, exposure.first : exposure.first + exposure.lit.shape[1]] = exposure.lit
    stamps = times.tz_convert(None).to_numpy(dtype="datetime64[us]")
    row = np.searchsorted(exposure.days.start, stamps, side="right") - 1
    column = ((stamps - exposure.days.start[row]) // np.timedelta64(exposure.days.step, "m")).astype(int)
    return lit[row, column]


def test_a_probe_in_the_open_stays_in_the_open_and_shows_the_clouds(sky):
    times, beam, out = sky
    found = survey(record(sky, 5.0, 1), SITE, in_the_open=True)
    said, high = on_minutes(found, times) > 0.5, beam > 0.5
    assert said[high & out].mean() > 0.9
    assert said[high & ~out].mean() < 0.2


def test_shade_beside_a_probe_in_the_open_stays_shade(sky):
    place, roles = record(sky, 0.0, 2), {"": "place", "open": "open"}
    beside = survey_places({"": place, "open": record(sky, 5.0, 1)}, roles, SITE, School(), Sessions()).place
    assert beside.verdict.answer != "sunlit"
    assert beside.exposure.all_day < 0.1  # restless air alone speaks for sun all day: it came at other times
    assert beside.spans.empty


def test_an_hour_of_sun_on_one_day_alone_is_told_by_a_probe_in_the_open(sky):
    """No window recurs; where nothing shades, none has to."""
    times, beam, _ = sky
    minute = np.arange(times.size)
    noon = int(np.argmax(position(times, SITE.latitude, SITE.longitude).elevation_deg[: 2 * 1440]))
    hour = (minute >= noon - 30) & (minute < noon + 30)
    found = survey(record((times, beam, hour), 5.0, 1), SITE, in_the_open=True)
    said = on_minutes(found, times) > 0.5
    assert said[hour].mean() > 0.8
    assert said[~hour & (beam > 0.5)].mean() < 0.05


def test_it_does_not_matter_which_probe_is_named_first(sky):
    """The one in the open is surveyed first, so that it tells the place what the clouds did."""
    probes, roles = {"": record(sky, 2.0, 2), "open": record(sky, 5.0, 1)}, {"": "place", "open": "open"}
    both = [
        survey_places({name: probes[name] for name in order}, roles, SITE, School(), Sessions()).place
        for order in (("", "open"), ("open", ""))
    ]
    lit = [found.exposure.lit for found in both if found.exposure is not None]
    np.testing.assert_allclose(lit[0], lit[1])
