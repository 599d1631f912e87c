"""What the probe writes: lag, steps, offset, sun through an opening, and every trouble it meets."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from station.base.sun import position
from station.record.columns import TIME
from station.record.model import School, Site
from station.scenario.plan import ProbePlan, SkyWindow
from station.scenario.weather import Array, Weather, smooth, wandering

#: Lag of the excess when the sun comes and goes [s] (invented: minutes, as for a small body in free air).
_SUN_LAG_S = 240.0


def sun_excess(rng: np.random.Generator, weather: Weather, site: Site, window: SkyWindow | None) -> Array:
    """Return what the sun through the opening adds to a probe at each instant of the weather [degC]."""
    if window is None:
        return np.zeros(len(weather.time))
    azimuth, elevation = position(
        weather.time, site.latitude or 0.0, site.longitude or 0.0, elevation_m=site.elevation_m
    )
    lit = (
        (azimuth >= window.azimuth[0])
        & (azimuth <= window.azimuth[1])
        & (elevation >= window.elevation[0])
        & (elevation <= window.elevation[1])
    )
    step = float((weather.time[1] - weather.time[0]) / np.timedelta64(1, "s"))
    gusts = 1.0 + 0.25 * wandering(rng, len(lit), 120.0 / step)
    return smooth(window.excess_c * lit * weather.sunshine * np.clip(gusts, 0.2, 2.0), _SUN_LAG_S / step)


def record(
    rng: np.random.Generator,
    weather: Weather,
    excess_c: Array,
    plan: ProbePlan,
    resolution_c: float,
    indoor_c: float,
) -> pd.DataFrame:
    """Return the probe's samples as SAMPLES plus the true instant in a column ``true_time``."""
    step = int((weather.time[1] - weather.time[0]) / np.timedelta64(1, "s"))
    true = weather.time
    surroundings = weather.air_c.copy()
    for trouble in plan.troubles:
        if trouble.kind == "indoors":
            inside = _during(true, trouble.start, trouble.end)
            room = indoor_c + 0.25 * wandering(rng, len(true), 3600.0 / step)
            surroundings = np.where(inside, room, surroundings)
            excess_c = np.where(inside, 0.0, excess_c)
        elif trouble.kind == "step":
            surroundings = surroundings + trouble.size_c * _during(true, trouble.start, trouble.end)
    value = smooth(surroundings, plan.time_constant_s / step) + excess_c + plan.offset_c
    value = value + 0.03 * rng.standard_normal(len(value))
    value = np.rint(value / resolution_c) * resolution_c
    keep = np.ones(len(true), dtype=bool)
    for trouble in plan.troubles:
        during = _during(true, trouble.start, trouble.end)
        if trouble.kind == "asleep":
            keep &= ~during
        elif trouble.kind == "power_on_value":
            value[during] = 85.0
        elif trouble.kind == "disconnected_value":
            value[during] = -127.0
        elif trouble.kind == "stuck" and during.any():
            value[during] = value[np.argmax(during)]
    stamp = true.copy()
    for turn in plan.clock:
        stamp[_during(true, turn.start, turn.end)] += np.timedelta64(round(turn.shift_minutes * 60), "s")
    every = (np.arange(len(true)) * step) % plan.interval_s == 0
    keep &= every
    stamp, value, true = stamp[keep], value[keep], true[keep]
    # Where a turned clock would repeat stamps, the laptop was off until the clock had passed them.
    latest = np.maximum.accumulate(stamp.astype(np.int64))
    fresh = np.concatenate([[True], stamp.astype(np.int64)[1:] > latest[:-1]])
    samples = pd.DataFrame({"time": stamp[fresh], "celsius": value[fresh], "true_time": true[fresh]})
    for name in ("time", "true_time"):
        samples[name] = samples[name].dt.tz_localize("UTC")
    return samples.astype({"time": TIME, "true_time": TIME})


def school_hours(samples: pd.DataFrame, site: Site, school: School) -> pd.DataFrame:
    """Return the samples taken in school hours of school days only: the laptop goes home."""
    local = samples["true_time"].dt.tz_convert(site.zone)
    minute = (local.dt.hour * 60 + local.dt.minute).to_numpy()
    start = school.day_start.hour * 60 + school.day_start.minute
    end = school.day_end.hour * 60 + school.day_end.minute
    date = local.dt.date
    open_days = {day: school.is_school_day(day) for day in date.unique()}
    inside = (minute >= start) & (minute <= end) & date.map(open_days).to_numpy(dtype=bool)
    kept: pd.DataFrame = samples[inside].reset_index(drop=True)
    return kept


def _during(time: NDArray[np.datetime64], start: dt.datetime, end: dt.datetime) -> NDArray[np.bool_]:
    """Mark instants in ``[start, end)``."""
    low, high = (np.datetime64(int(moment.timestamp()), "s") for moment in (start, end))
    inside: NDArray[np.bool_] = (time >= low) & (time < high)
    return inside
