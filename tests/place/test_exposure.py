"""What one day's record says, against the air between its own shaded minutes."""

import datetime as dt
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest

from station.base.sun import position
from station.place import chain, exposure
from station.place.background import clear_days
from station.place.days import Days
from station.place.hints import Beside
from station.place.survey import survey
from station.record.columns import SAMPLES
from station.record.model import Site

SITE = Site(ZoneInfo("America/Chicago"), "place", 44.3, -91.4, 220.0)
DAYS, CLOUD_MIN = 8, 14


def upright(first_deg: float, last_deg: float) -> tuple[pd.DatetimeIndex, np.ndarray, list[np.ndarray]]:
    """Return minutes, those in which an opening with upright sides lets the sun in, and these by day."""
    start = pd.Timestamp(dt.date(2026, 10, 12), tz=SITE.zone).tz_convert("UTC")
    times = pd.date_range(start, periods=DAYS * 1440, freq="1min").as_unit("us")
    sun = position(times, SITE.latitude, SITE.longitude)
    open_ = (sun.azimuth_deg > first_deg) & (sun.azimuth_deg < last_deg) & (sun.elevation_deg > 5)
    day = np.arange(times.size) // 1440
    return times, open_, [np.flatnonzero(open_ & (day == d)) for d in range(DAYS)]


def lagged(warm: np.ndarray, keep: float) -> np.ndarray:
    """Return what a probe shows that keeps this share of a difference from step to step."""
    felt = warm.copy()
    for i in range(1, felt.size):
        felt[i] = keep * felt[i - 1] + (1 - keep) * warm[i]
    return felt


def recorded(times: pd.DatetimeIndex, warm: np.ndarray, rng: np.random.Generator) -> pd.DataFrame:
    """Return the record of a probe that something warms by ``warm`` degC in calm air, in sixteenths."""
    minute = (times - times[0]).total_seconds().to_numpy() / 60
    air = 12 - 5 * np.cos(2 * np.pi * (minute - 180) / 1440) + rng.normal(0, 0.05, times.size)
    return pd.DataFrame({"time": times, "celsius": np.round((air + warm) * 16) / 16}).astype(dict(SAMPLES))


def gusty() -> tuple[pd.DataFrame, np.ndarray, np.ndarray]:
    """Sun in strong gusts from an upright opening, with one cloud a day that comes and goes slowly."""
    rng = np.random.default_rng(8)
    times, open_, by_day = upright(175, 215)
    cloud = np.zeros(times.size, bool)
    for inside in by_day:
        at = inside[int(rng.uniform(0.3, 0.6) * len(inside))]
        cloud[at : at + CLOUD_MIN] = True
    gust = np.exp(np.convolve(rng.normal(0, 0.5, times.size), np.ones(3) / np.sqrt(3), "same"))
    ramp = np.convolve(~cloud, np.ones(7) / 7, "same")
    return recorded(times, 5.0 * open_ * gust * ramp, rng), open_ & ~cloud, cloud


def clouded(left: float) -> tuple[pd.DataFrame, np.ndarray, np.ndarray]:
    """Strong sun from an upright opening; twice a day a cloud leaves a share of it for 20 minutes."""
    rng = np.random.default_rng(5)
    times, open_, by_day = upright(165, 215)
    cloud = np.zeros(times.size, bool)
    for inside in by_day:
        for share in (0.1, 0.5):
            at = inside[int((share + rng.uniform(0, 0.3)) * len(inside))]
            cloud[at : at + 20] = True
    warm = 6.0 * open_ * np.where(cloud, left, 1.0) * rng.normal(1, 0.05, times.size)
    return recorded(times, lagged(warm, 0.4), rng), open_ & ~cloud, cloud


def said_lit(frame: pd.DataFrame) -> np.ndarray:
    """Return the minutes of a record that are said to lie in a span of sun."""
    stamps = pd.DatetimeIndex(frame["time"])
    said = np.zeros(len(stamps), bool)
    for span in survey(frame, SITE).spans.itertuples():
        said |= (stamps >= span.start) & (stamps < span.end)
    return said


def test_a_cloud_in_a_gusty_window_is_no_sun_though_it_came_without_a_jump():
    frame, lit, cloud = gusty()
    said = said_lit(frame)
    middle = cloud & np.roll(cloud, 4) & np.roll(cloud, -4)
    assert said[lit].mean() > 0.75
    assert said[middle].mean() < 0.4


@pytest.mark.parametrize(("left", "least", "most"), [(0.4, 0.5, 1.0), (0.0, 0.0, 0.1)])
def test_what_a_thin_cloud_leaves_of_a_strong_sun_is_sun_and_a_thick_one_s_shade_is_none(left, least, most):
    frame, lit, cloud = clouded(left)
    said = said_lit(frame)
    middle = cloud & np.roll(cloud, 4) & np.roll(cloud, -4)
    assert said[lit].mean() > 0.9
    assert least <= said[middle].mean() <= most


def test_windows_begin_and_end_in_time_on_the_mean():
    """Sun of 6 degC, its disc half a degree wide, on a probe with a lag of one minute."""
    late = []
    for phase in range(4):
        start = pd.Timestamp(dt.date(2026, 10, 12), tz=SITE.zone).tz_convert("UTC")
        times = pd.date_range(start, periods=5 * 4320, freq="20s").as_unit("us")
        sun = position(times, SITE.latitude, SITE.longitude)
        inside_deg = np.minimum(sun.azimuth_deg - 170 - 0.15 * phase, 190 + 0.11 * phase - sun.azimuth_deg)
        disc = np.clip(inside_deg * np.cos(np.radians(sun.elevation_deg)) / 0.53 + 0.5, 0, 1)
        frame = recorded(times, lagged(6.0 * disc, np.exp(-1 / 3)), np.random.default_rng(phase))
        calendar = survey(frame[::3].reset_index(drop=True), SITE).calendar
        minutes = times[(6.0 * disc >= 1) & (np.arange(times.size) % 3 == 0)].to_numpy("datetime64[us]")
        for begin, open_ in zip(calendar.days.start, calendar.open > 0.5, strict=True):
            true = np.unique((minutes - begin) // np.timedelta64(1, "m"))
            true = true[(true >= 0) & (true < 1440)]
            if len(true):
                found = np.flatnonzero(open_)
                late.append((found[0] - true[0], found[-1] - true[-1]))
    begin_late, end_late = np.mean(late, axis=0)
    assert len(late) >= 16
    assert abs(begin_late) < 0.3
    assert abs(end_late) < 0.5


def test_where_a_probe_in_the_open_saw_cloud_no_gap_is_sought(monkeypatch):
    """Dark under a cloud is no leaf's shade."""
    told = {}

    def gaps(lit, open_, out, looked, path, step):
        told.update(looked=looked)
        return np.zeros_like(lit)

    def other(days: Days) -> Beside:
        out = np.full(days.celsius.shape, np.nan)
        out[2], out[3] = 0.0, 1.0
        return Beside(np.full(days.celsius.shape, np.nan), out)

    monkeypatch.setattr(exposure, "gaps", gaps)
    exposure.expose(gusty()[0], SITE, beside=other)
    looked = told["looked"].any(axis=1)
    assert not looked[2]
    assert looked[[1, 3, 4]].all()  # told of sun, or of nothing


def school_hours_alone() -> tuple[pd.DataFrame, np.ndarray]:
    """A calm sun of more than two hours a day, in a record without a night."""
    times, open_, _ = upright(150, 200)
    frame = recorded(times, lagged(5.0 * open_, 0.4), np.random.default_rng(5))
    clock = times.tz_convert(SITE.zone).hour.to_numpy()
    kept = (clock >= 8) & (clock < 15)
    return frame[kept].reset_index(drop=True), open_[kept]


def test_hours_of_calm_sun_are_read_as_sun_without_a_night_to_compare_with():
    frame, lit = school_hours_alone()
    spans = survey(frame, SITE).spans
    times = frame["time"].to_numpy()
    found = np.zeros(len(frame), bool)
    for start, end in zip(spans["start"].to_numpy(), spans["end"].to_numpy(), strict=True):
        found |= (times >= start) & (times < end)
    assert (found ^ lit).sum() < 0.03 * lit.sum()


@pytest.mark.parametrize(
    ("told", "noise_c", "regional", "slow"),
    [
        (False, 0.0, False, True),
        (True, 0.0, False, False),
        (False, 0.4, False, False),
        (False, 0.0, True, False),
    ],
)
def test_a_calm_record_chooses_how_long_warmth_keeps_a_level(monkeypatch, told, noise_c, regional, slow):
    """Noise would pass for sun that keeps its level; a probe in the open tells when sun begins and ends."""
    frame, _ = school_hours_alone()
    frame["celsius"] += np.random.default_rng(2).normal(0, noise_c, len(frame))
    asked, plain = [], exposure.read

    def spy(*args):
        found = plain(*args)
        asked.append((args[5], len(args) == 9, found.fit))
        return found

    def other(days: Days) -> Beside:
        return Beside(np.full(days.celsius.shape, np.nan), np.full(days.celsius.shape, 0.5))

    monkeypatch.setattr(exposure, "read", spy)
    region = frame[::60].assign(celsius=12.0) if regional else None  # nights are missing
    exposure.expose(frame, SITE, weather=region, beside=other if told else None)
    seeking = [(change, fit) for change, known, fit in asked if not known]
    tried = len(chain.GUSTS) * (2 if slow else 1)
    best = max(seeking[:tried], key=lambda way: way[1])[0]
    assert {change for change, _ in seeking[:tried]} == {chain.CHANGE, *([chain.CHANGE_CALM] if slow else [])}
    assert best == (chain.CHANGE_CALM if slow else chain.CHANGE)
    assert {change for change, _ in seeking[tried:]} == {best}
    assert {change for change, known, _ in asked if known} == {chain.CHANGE}


def test_days_whose_window_is_shut_look_no_duller_than_days_whose_window_is_open():
    times, open_, _ = upright(150, 200)
    shut = np.arange(times.size) // 1440 >= DAYS // 2
    frame = recorded(times, lagged(6.0 * (open_ & ~shut), 0.4), np.random.default_rng(5))
    found = exposure.expose(frame, SITE)
    bare = clear_days(found.days)
    before, after = slice(1, DAYS // 2 + 1), slice(DAYS // 2 + 1, None)  # night before the first day's row
    assert bare[before].min() > bare[after].max() + 0.1
    assert abs(found.sky[before].mean() - found.sky[after].mean()) < 0.05
