"""First and last beam: what shows a weak sun all day where no cloud breaks it, and what does not."""

import datetime as dt
from dataclasses import replace
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest
from scipy.signal import lfilter

from station.place import recurring
from station.place.days import Days, bare
from station.place.low_sun import AGAINST, clear_beam, low_sun_log_odds
from station.place.survey import Survey, survey
from station.record.columns import SAMPLES
from station.record.model import Site

SITE = Site(ZoneInfo("America/Chicago"), "yard", 44.3, -91.4, 220.0)
STEP = 2
#: Nine days from a Monday; the sun is out on seven, all day.
CLEAR = np.array([1, 1, 0, 1, 1, 1, 0, 1, 1], bool)
SKY = np.where(CLEAR, 0.9, 0.1)
WARM_C = 1.8


def yard(seed: int = 3, eddies_c: float = 0.2, lag_h: float = 3.0) -> Days:
    """Shaded air that follows the sun by hours, wanders, and is restless by day."""
    days = bare(dt.date(2026, 5, 11), dt.date(2026, 5, 19), SITE, STEP)
    rng = np.random.default_rng(seed)
    d, m = days.celsius.shape
    high = np.clip(np.sin(np.radians(days.elevation)), 0, None)
    keep = np.exp(-STEP / (60 * lag_h))
    heat = np.tile(high * np.where(CLEAR, 1.0, 0.3)[:, None], (1, 2))
    late = lfilter([1 - keep], [1.0, -keep], heat, axis=1)
    air = 10 + 13 * late[:, m:]
    for spread, minutes in ((0.4, 120.0), (eddies_c * (0.2 + high), 4.0)):
        stay, now = np.exp(-STEP / minutes), rng.normal(0, 1, d)
        for j in range(m):
            now = stay * now + np.sqrt(1 - stay**2) * rng.normal(0, 1, d)
            air[:, j] += (spread if np.isscalar(spread) else spread[:, j]) * now
    return replace(days, celsius=np.round(air * 16) / 16)


def lit(days: Days, warm_c: float = WARM_C, above_deg: float = 3.0, below_deg: float = 90.0) -> Days:
    """The same with a beam on clear days that warms so much at 0.6 of its strength above the air."""
    high = (days.elevation > above_deg) & (days.elevation < below_deg) & CLEAR[:, None]
    beam = warm_c * clear_beam(days.elevation) / 0.6 * high
    return replace(days, celsius=days.celsius + lfilter([0.6], [1.0, -0.4], beam, axis=1))


def surveyed(days: Days) -> Survey:
    times = pd.DatetimeIndex(days.times().ravel()).tz_localize("UTC")
    frame = pd.DataFrame({"time": times, "celsius": days.celsius.ravel()}).astype(dict(SAMPLES))
    return survey(frame, SITE)


def test_the_beam_is_that_of_kasten_and_young_s_air_mass():
    # pvlib 0.16, relative air mass "kastenyoung1989"; and Meinel's 0.7 of the sun's overhead
    pvlib = pytest.importorskip("pvlib")
    elevation = np.array([1.0, 3.0, 8.0, 30.0, 90.0])
    mass = pvlib.atmosphere.get_relative_airmass(90 - elevation, "kastenyoung1989")
    assert clear_beam(elevation) == pytest.approx(0.7 ** (mass**0.678), rel=1e-6)
    assert clear_beam(np.array([-0.1])) == 0


@pytest.mark.parametrize("seed", range(4))
def test_mornings_and_evenings_tell_a_weak_sun_from_air_that_follows_hours_late(seed):
    shade = yard(seed)
    assert low_sun_log_odds(shade, SKY) < 0
    assert low_sun_log_odds(lit(shade), SKY) > 1


def test_a_horizon_of_some_degrees_hides_nothing():
    assert low_sun_log_odds(lit(yard(), above_deg=6.0), SKY) > 1


def test_sun_that_comes_in_higher_up_is_a_window_s():
    assert low_sun_log_odds(lit(yard(), 5.0, 25.0), SKY) < 0
    assert low_sun_log_odds(lit(yard(), 5.0, 25.0, 45.0), SKY) < 0


def test_warmth_of_dull_mornings_is_not_the_sun_s():
    days = lit(yard())
    assert low_sun_log_odds(days, SKY) > 1
    assert low_sun_log_odds(days, np.where(CLEAR, 0.1, 0.9)) < 0  # the same mornings under dull skies


def test_school_hours_alone_and_sparse_records_tell_nothing():
    days = lit(yard())
    clock = days.clock(SITE)
    school = np.where((clock >= 495) & (clock < 915), days.celsius, np.nan)
    assert low_sun_log_odds(replace(days, celsius=school), SKY) == 0
    few = np.where((np.arange(9) < 2)[:, None], days.celsius, np.nan)
    assert low_sun_log_odds(replace(days, celsius=few), SKY) == 0


def test_a_hole_costs_its_own_morning_alone():
    days = lit(yard())
    celsius = days.celsius.copy()
    celsius[2, days.elevation[2] < 20] = np.nan
    celsius[:, ::7] = np.nan  # a minute left out here and there
    assert low_sun_log_odds(replace(days, celsius=celsius), SKY) > 1


def test_a_long_record_of_the_same_days_says_hardly_more():
    days = lit(yard(), 0.3)
    six = {k: np.concatenate([getattr(days, k)] * 6) for k in ("start", "celsius", "azimuth", "elevation")}
    once, often = low_sun_log_odds(days, SKY), low_sun_log_odds(replace(days, **six), np.tile(SKY, 6))
    assert -1 < once < 1
    assert once <= often < once + 1


def test_it_speaks_against_as_far_as_real_air_allows():
    assert low_sun_log_odds(replace(yard(), celsius=np.full_like(yard().celsius, 11.0)), SKY) == AGAINST


def test_a_weak_sun_all_day_that_no_cloud_breaks_is_not_called_shaded(monkeypatch):
    shade = yard()
    assert surveyed(shade).verdict.answer == "shaded"
    assert surveyed(lit(shade)).verdict.answer != "shaded"
    monkeypatch.setattr(recurring, "low_sun_log_odds", lambda *_: 0.0)
    without = surveyed(lit(shade)).exposure.all_day
    monkeypatch.undo()
    assert surveyed(lit(shade)).exposure.all_day > 3 * without
