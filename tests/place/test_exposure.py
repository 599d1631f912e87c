"""What one day's record says, against the air between its own shaded minutes."""

import datetime as dt
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd

from station.base.sun import position
from station.place import exposure
from station.place.days import Days
from station.place.hints import Beside
from station.place.survey import survey
from station.record.columns import SAMPLES
from station.record.model import Site

SITE = Site(ZoneInfo("America/Chicago"), "place", 44.3, -91.4, 220.0)
DAYS, CLOUD_MIN = 8, 14


def gusty() -> tuple[pd.DataFrame, np.ndarray, np.ndarray]:
    """Sun in strong gusts from an upright opening, with one cloud a day that comes and goes slowly."""
    rng = np.random.default_rng(8)
    start = pd.Timestamp(dt.date(2026, 10, 12), tz=SITE.zone).tz_convert("UTC")
    times = pd.date_range(start, periods=DAYS * 1440, freq="1min").as_unit("us")
    sun = position(times, SITE.latitude, SITE.longitude)
    minute = np.arange(times.size)
    open_ = (sun.azimuth_deg > 175) & (sun.azimuth_deg < 215) & (sun.elevation_deg > 5)
    cloud = np.zeros(times.size, bool)
    for day in range(DAYS):
        inside = np.flatnonzero(open_ & (minute // 1440 == day))
        at = inside[int(rng.uniform(0.3, 0.6) * len(inside))]
        cloud[at : at + CLOUD_MIN] = True
    gust = np.exp(np.convolve(rng.normal(0, 0.5, times.size), np.ones(3) / np.sqrt(3), "same"))
    warm = 5.0 * open_ * gust
    ramp = np.convolve(~cloud, np.ones(7) / 7, "same")
    air = 12 - 5 * np.cos(2 * np.pi * (minute - 180) / 1440) + rng.normal(0, 0.05, times.size)
    frame = pd.DataFrame({"time": times, "celsius": np.round((air + warm * ramp) * 16) / 16})
    return frame.astype(dict(SAMPLES)), open_ & ~cloud, cloud


def test_a_cloud_in_a_gusty_window_is_no_sun_though_it_came_without_a_jump():
    frame, lit, cloud = gusty()
    found = survey(frame, SITE)
    stamps = pd.DatetimeIndex(frame["time"])
    said = np.zeros(len(stamps), bool)
    for span in found.spans.itertuples():
        said |= (stamps >= span.start) & (stamps < span.end)
    middle = cloud & np.roll(cloud, 4) & np.roll(cloud, -4)
    assert said[lit].mean() > 0.75
    assert said[middle].mean() < 0.4


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
