"""Plausible outdoor air and sunshine for a place and season, drawn from a seeded generator."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy.special import ndtri

from station.record.model import Site
from station.scenario.plan import WeatherPlan

Array = NDArray[np.float64]

#: Chance that the next day keeps the sky of this one, and sunshine shares of dull, mixed, clear (invented).
_KEEP = 0.55
_SUNSHINE = (0.03, 0.5, 0.97)


@dataclass(frozen=True)
class Weather:
    """Shade air [degC] and sunshine (0 to 1) at equally spaced UTC instants."""

    time: NDArray[np.datetime64]
    air_c: Array
    sunshine: Array

    def air_at(self, seconds: Array | float) -> Array:
        """Return the air temperature at POSIX seconds, straight between samples."""
        own = self.time.astype("datetime64[s]").astype(np.float64)
        return np.asarray(np.interp(seconds, own, self.air_c))


def smooth(values: Array, constant: float) -> Array:
    """Return the first-order lag of ``values``; ``constant`` is the time constant in samples."""
    alpha = 1.0 - float(np.exp(-1.0 / constant)) if constant > 0 else 1.0
    return np.asarray(pd.Series(values).ewm(alpha=alpha, adjust=False).mean(), dtype=np.float64)


def wandering(rng: np.random.Generator, n: int, constant: float) -> Array:
    """Return ``n`` steps of a stationary AR(1) series, variance 1, with this time constant in samples."""
    phi = float(np.exp(-1.0 / constant))
    noise = rng.standard_normal(n)
    if n:
        noise[0] *= np.sqrt((1.0 - phi) / (1.0 + phi))
    return smooth(noise, constant) * float(np.sqrt((1.0 + phi) / (1.0 - phi)))


def normal_c(plan: WeatherPlan, site: Site, day_of_year: Array) -> Array:
    """Return the season's mean temperature [degC]; a rough mid-latitude rule, invented for demonstrations."""
    latitude = site.latitude if site.latitude is not None else 45.0
    mean = plan.mean_c if plan.mean_c is not None else 27.0 - 0.45 * abs(latitude)
    season = plan.season_c if plan.season_c is not None else 0.25 * abs(latitude)
    warmest = 202.0 if latitude >= 0 else 20.0  # about three weeks after the solstice
    cycle: Array = np.cos(2 * np.pi * (day_of_year - warmest) / 365.25)
    return mean + season * cycle


def draw_weather(
    rng: np.random.Generator, plan: WeatherPlan, site: Site, first: dt.date, last: dt.date, step_s: int
) -> Weather:
    """Return the weather from the local midnight before ``first`` to the one after ``last``.

    Days differ by an AR(1) walk with fronts; the day's swing grows with sunshine; minutes wander a little.
    """
    days = [first + dt.timedelta(days=i) for i in range(-2, (last - first).days + 3)]
    n = len(days)
    walk = wandering(rng, n, 3.0) * plan.spread_c
    fronts = np.where(rng.random(n) < 0.12, rng.uniform(3.0, 8.0, n), 0.0)
    walk -= smooth(fronts, 1.5) * 2.0
    sky, skies = 1, np.empty(n)
    moves = rng.random((n, 2))
    for i, day in enumerate(days):
        sky = sky if moves[i, 0] < _KEEP else int(moves[i, 1] * 3)
        skies[i] = plan.skies.get(day, _SUNSHINE[sky])
        walk[i] = plan.departures.get(day, walk[i])

    start = dt.datetime.combine(first, dt.time(), tzinfo=site.zone).timestamp()
    end = dt.datetime.combine(last + dt.timedelta(days=1), dt.time(), tzinfo=site.zone).timestamp()
    seconds = np.arange(start, end, step_s)
    # Days since the noon of days[0] in local mean time, where the day's numbers are anchored.
    origin = dt.datetime.combine(days[0], dt.time(12), tzinfo=dt.UTC).timestamp()
    solar = (seconds - origin + (site.longitude or 0.0) * 240.0) / 86400.0
    anchors = np.arange(n, dtype=np.float64)
    sun = np.interp(solar, anchors, skies)
    hour = (solar + 0.5) % 1.0 * 24.0
    day_of_year = np.array([day.timetuple().tm_yday for day in days], dtype=np.float64)
    normal = np.interp(solar, anchors, normal_c(plan, site, day_of_year))
    phase = 2 * np.pi * (hour - 15.0) / 24.0
    shape = np.cos(phase) + 0.22 * np.cos(2 * phase)
    air = normal + np.interp(solar, anchors, walk) + (1.3 + 3.4 * sun) * shape
    air += 0.3 * wandering(rng, len(seconds), 2400.0 / step_s) + 0.1 * wandering(
        rng, len(seconds), 180.0 / step_s
    )

    share = np.clip(np.array(skies), 0.001, 0.999)[np.clip(np.rint(solar).astype(int), 0, n - 1)]
    cloud = wandering(rng, len(seconds), 600.0 / step_s)
    shining = np.where(cloud < ndtri(share), 1.0, 0.0)
    time = (seconds.astype(np.int64)).astype("datetime64[s]")
    return Weather(time, air, smooth(shining, 60.0 / step_s))
