"""Invented sites whose sun is known: sky, air, opening, probe and troublemakers, from one seed.

Written apart from the detector and from physics: the beam comes through an opening in azimuth and
elevation, clouds cut it, the wind takes the warmth away, the probe follows with a lag. The detector sees
only the record. Constants without a source are invented and spread widely on purpose.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from itertools import pairwise
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
from scipy.signal import lfilter

from station.base.sun import position
from station.record.model import School, Sessions, Site

STEP_S = 20
PER_MINUTE = 60 // STEP_S
ZONES = {
    1: [("America/Chicago", -91.4), ("Europe/Berlin", 10.0), ("Asia/Tokyo", 139.0), ("America/Denver", -105)],
    -1: [("Australia/Sydney", 150.0), ("America/Santiago", -71.0), ("Africa/Johannesburg", 28.0)],
}  # fmt: skip
KINDS_LIT = ("morning", "noon", "afternoon", "several", "all day", "leaves")
KINDS_SHADED = ("none", "none", "outside school", "missed")
SCHOOL = School()
CLEAR_EXCESS_C = 1.0


@dataclass(frozen=True)
class Patch:
    """A part of the sky that lets the sun in: a rectangle, degrees, with leaves or without."""

    azimuth: tuple[float, float]
    elevation: tuple[float, float]
    leaves: int = 0  # seed of a fixed pattern of gaps, 0 for none

    def visible(self, azimuth: np.ndarray, elevation: np.ndarray) -> np.ndarray:
        """Share of the sun's disc seen; the disc is half a degree wide, so edges take about two minutes."""

        def side(x: np.ndarray) -> np.ndarray:
            return np.clip(x / 0.53 + 0.5, 0.0, 1.0)

        middle = 0.5 * (self.azimuth[0] + self.azimuth[1])
        half = 0.5 * (self.azimuth[1] - self.azimuth[0])
        turn = np.abs((azimuth - middle + 180) % 360 - 180)
        cos = np.cos(np.radians(np.clip(elevation, 0, 80)))
        share = (
            side((half - turn) * cos)
            * side(elevation - self.elevation[0])
            * side(self.elevation[1] - elevation)
        )
        if self.leaves:
            rng = np.random.default_rng(self.leaves)
            gaps = rng.random((90, 90)) < 0.6
            cell = gaps[(azimuth / 1.7).astype(int) % 90, (np.clip(elevation, 0, 89) / 1.7).astype(int) % 90]
            share = share * np.where(cell, 1.0, 0.1)
        return share


@dataclass
class Case:
    """A site with its record and its truth, one row a minute of the whole period."""

    seed: int
    kind: str
    troubles: tuple[str, ...]
    site: Site
    school: School
    sessions: Sessions
    patches: tuple[Patch, ...]
    amplitude_c: float
    probe: pd.DataFrame
    weather: pd.DataFrame
    open_probe: pd.DataFrame
    truth: pd.DataFrame = field(
        repr=False
    )  # direct_c: the beam's warmth; excess_c: and that of what it warmed nearby
    sunlit: bool = False
    share: float = 0.0
    school_only: bool = False


def ou(rng: np.random.Generator, n: int, sd: float, tau_s: float) -> np.ndarray:
    """A stationary Ornstein-Uhlenbeck path with steps of ``STEP_S``."""
    a = np.exp(-STEP_S / tau_s)
    kicks = rng.normal(0, sd * np.sqrt(1 - a**2), n)
    kicks[0] = rng.normal(0, sd)
    return lfilter([1.0], [1.0, -a], kicks)


def lagged(x: np.ndarray, tau_s: float) -> np.ndarray:
    """First-order response, starting in balance."""
    a = np.exp(-STEP_S / tau_s)
    return lfilter([1 - a], [1.0, -a], x - x[0]) + x[0]


def clear_beam(elevation: np.ndarray) -> np.ndarray:
    """Beam at right angles under a clear sky [W/m2]: Meinel 1976, air mass of Kasten and Young 1989."""
    e = np.clip(elevation, 0.1, 90)
    mass = 1 / (np.sin(np.radians(e)) + 0.50572 * (e + 6.07995) ** -1.6364)
    return np.where(elevation > 0, 1361 * 0.7 ** (mass**0.678), 0.0)


def cloud_cover(rng: np.random.Generator, days: int, gloom: float) -> tuple[np.ndarray, np.ndarray]:
    """Share of the beam that gets through [0, 1] and the day's kind (0 clear, 1 mixed, 2 dull)."""
    n = days * 86400 // STEP_S
    through = np.ones(n)
    weights = np.array([1.1 - gloom, 0.7, 0.2 + gloom])
    weights /= weights.sum()
    kinds = np.zeros(days, int)
    for d in range(days):
        kinds[d] = kinds[d - 1] if d and rng.random() < 0.35 else rng.choice(3, p=weights)
        i, end = d * 86400 // STEP_S, (d + 1) * 86400 // STEP_S
        cloudy = rng.random() < 0.5
        while i < end:
            if kinds[d] == 0:
                minutes, value = rng.exponential(240), 1.0
                if rng.random() < 0.2:
                    minutes, value = rng.exponential(6), rng.uniform(0.2, 0.9)
            elif kinds[d] == 1:
                cloudy = not cloudy
                minutes = rng.exponential(14 if cloudy else 18) + 1
                value = rng.uniform(0, 0.35) if cloudy else rng.uniform(0.85, 1)
            else:
                minutes, value = rng.exponential(90), 0.0
                if rng.random() < 0.08:
                    minutes, value = rng.exponential(5), rng.uniform(0.1, 0.5)
            length = max(int(minutes * PER_MINUTE), 1)
            through[i : min(i + length, end)] = value
            i += length
    haze = 1 - 0.15 * np.abs(ou(rng, n, 1.0, 7200))
    return lagged(np.clip(through * haze, 0, 1), rng.uniform(20, 60)), kinds


def draw_patches(
    rng: np.random.Generator, kind: str, date: dt.date, site: Site, reach: tuple[float, float]
) -> tuple[Patch, ...]:
    """Openings as seen from the place, aimed at a clock time in the middle of the record."""
    if kind == "none":
        return ()
    start = dt.datetime.combine(date, dt.time(), tzinfo=site.zone).astimezone(dt.UTC).replace(tzinfo=None)
    minutes = np.datetime64(start, "us") + np.arange(1440) * np.timedelta64(1, "m")
    azimuth, elevation = position(minutes, site.latitude, site.longitude)
    if kind == "all day":
        noon = azimuth[np.argmax(elevation)]
        return (Patch((noon - 150, noon + 150), (rng.uniform(2, 8), 90)),)

    def one(first: float, last: float, longest: float) -> Patch:
        length = np.exp(rng.uniform(np.log(18), np.log(longest)))
        middle = rng.uniform(*sorted((first + length / 3, last - length / 3)))
        i, j = int(np.clip(middle - length / 2, 0, 1438)), int(np.clip(middle + length / 2, 1, 1439))
        e = elevation[i : j + 1]
        sides = azimuth[i], azimuth[j]
        turn = (sides[1] - sides[0] + 180) % 360 - 180
        low, high = (sides[0], sides[0] + turn) if turn > 0 else (sides[1], sides[1] - turn)
        bottom, top = e.min() - rng.uniform(0.5, 12), e.max() + rng.uniform(0.5, 12)
        if rng.random() < 0.3:  # the roof's edge cuts the path
            top = e.max() - rng.uniform(0, 0.5) * (e.max() - e.min())
        if rng.random() < 0.2:
            bottom = e.min() + rng.uniform(0, 0.5) * (e.max() - e.min())
        if kind == "missed":
            if rng.random() < 0.5:
                bottom, top = e.max() + rng.uniform(2, 8), e.max() + 25
            else:
                bottom, top = e.min() - 25, e.min() - rng.uniform(2, 8)
        leaves = int(rng.integers(1, 1 << 30)) if kind == "leaves" else 0
        return Patch((low, high), (max(bottom, 0.5) if kind != "missed" else bottom, top), leaves)

    if kind == "several":
        return (one(8.25 * 60, 11.5 * 60, 90), one(12 * 60, 15.4 * 60, 90))
    up = np.flatnonzero(elevation > 4)
    if kind == "outside school":
        early = (up[0], 7.6 * 60) if rng.random() < 0.5 and up[0] < 6.5 * 60 else (16.2 * 60, up[-1])
        return (one(*early, 90),) if early[1] - early[0] > 40 else ()
    spans = {"morning": (8.0, 11.3), "noon": (11.0, 13.7), "afternoon": (12.7, 15.6)}
    first, last = spans.get(kind, (9.0, 15.0))
    return (one(max(first * 60, up[0]), min(last * 60, up[-1]), 170),)


def disturbances(
    rng: np.random.Generator,
    troubles: tuple[str, ...],
    local: pd.DatetimeIndex,
    air: np.ndarray,
    sun: np.ndarray,
) -> np.ndarray:
    """What else moves the probe [degC]: warm wall, door, handling, move."""
    n = air.size
    extra = np.zeros(n)
    day = 86400 // STEP_S
    clock = (local.hour * 3600 + local.minute * 60 + local.second).to_numpy()
    if "warm wall" in troubles:
        first = rng.uniform(7, 13) * 3600
        lit = (clock > first) & (clock < first + rng.uniform(2, 5) * 3600)
        extra += rng.uniform(0.6, 2.5) * lagged(lit * sun / 800, rng.uniform(1500, 4000))
    if "door" in troubles:
        bells = rng.choice(
            [8.0, 8.25, 9.75, 10.0, 10.25, 11.5, 12.0, 12.75, 13.5, 14.25, 15.0], rng.integers(1, 5), False
        )
        propped = rng.random() < 0.4
        share, inside = rng.uniform(0.08, 0.4), rng.uniform(19, 22)
        flow = np.zeros(n)
        midnights = np.flatnonzero(np.diff(local.day.to_numpy(), prepend=-1))
        for start in midnights:
            if local[start].day_of_week >= 5:
                continue
            for bell in bells:
                if rng.random() < 0.1:
                    continue
                at = start + int((bell * 3600 + rng.normal(0, 50)) / STEP_S)
                minutes = rng.uniform(9, 18) if propped else rng.uniform(0.7, 4)
                flow[max(at, 0) : at + int(minutes * PER_MINUTE)] = rng.uniform(0.7, 1.2)
        gusty = np.clip(1 + ou(rng, n, 0.3, 60), 0.2, 2)
        extra += share * (inside - air) * lagged(flow * gusty, rng.uniform(40, 150))
    if "handled" in troubles:
        for _ in range(rng.integers(1, 5)):
            at = rng.integers(0, n)
            if 8 * 3600 < clock[at] < 15 * 3600:
                tail = np.arange(n - at) * STEP_S
                extra[at:] += rng.uniform(2, 8) * np.exp(-tail / rng.uniform(100, 300))
    if "moved" in troubles:
        extra[rng.integers(day, n) :] += rng.normal(0, 0.8)
    return extra


def air_temperature(
    rng: np.random.Generator,
    days: int,
    troubles: tuple[str, ...],
    sun: np.ndarray,
    kinds: np.ndarray,
    warmth: float,
) -> tuple[np.ndarray, np.ndarray]:
    """Air in the shade and the region's smooth part of it [degC]: sun over hours, weather, fronts, eddies."""
    n, day = sun.size, 86400 // STEP_S
    heated = rng.uniform(0.008, 0.02) * lagged(sun, rng.uniform(2, 4) * 3600)
    region = warmth + heated + ou(rng, n, 2.5, 3 * 86400) + ou(rng, n, rng.uniform(0.2, 0.6), 2 * 3600)
    if "front" in troubles:
        for _ in range(max(1, days // 6)):
            ramp = np.clip((np.arange(n) - rng.integers(0, n)) * STEP_S / (rng.uniform(4, 40) * 60), 0, 1)
            back = lagged(ramp, rng.uniform(8, 40) * 3600)
            region += rng.choice([-1, -1, 1]) * rng.uniform(2, 7) * (ramp - back)
    eddies = rng.uniform(0.04, 0.12) + rng.uniform(0.1, 0.35) * lagged(sun, 1200) / 800
    local = region + eddies * ou(rng, n, 1.0, rng.uniform(90, 500))
    if "wetting" in troubles:
        for d in np.flatnonzero(kinds > 0):
            if rng.random() < 0.6:
                at = int((d + rng.uniform(0.3, 0.65)) * day)
                tail = np.arange(n - at) * STEP_S
                length = rng.uniform(20, 90) * 60
                local[at:] -= rng.uniform(0.8, 3) * np.exp(-((tail / length) ** 2)) * (1 - np.exp(-tail / 60))
    return local, region


def clock_changes(zone: ZoneInfo) -> list[dt.date]:
    """Days of 2026 on which the zone's offset differs from the day before."""
    noons = [dt.datetime(2026, 1, 1, 12, tzinfo=zone) + dt.timedelta(days=i) for i in range(365)]
    return [b.date() for a, b in pairwise(noons) if a.utcoffset() != b.utcoffset()]


def make(
    seed: int,
    lit: bool,
    days: int = 10,
    school_only: bool | None = None,
    kind: str | None = None,
    change_after: int | None = None,
) -> Case:
    """Draw a site, its weather and its record of ``days`` recorded days."""
    rng = np.random.default_rng([seed, 977])
    hemisphere = 1 if rng.random() < 0.7 else -1
    zone, longitude = ZONES[hemisphere][rng.integers(len(ZONES[hemisphere]))]
    latitude = hemisphere * rng.uniform(25, 60 if hemisphere > 0 else 50)
    site = Site(ZoneInfo(zone), "bench", float(latitude), longitude + rng.uniform(-5, 5), 100.0)
    only = bool(rng.random() < 0.25) if school_only is None else school_only
    first = dt.date(2026, 1, 1) + dt.timedelta(days=int(rng.integers(0, 365)))
    changes = clock_changes(site.zone)
    if change_after is not None and changes:
        first = changes[int(rng.integers(len(changes)))] - dt.timedelta(days=change_after)
    total = days if not only else int(np.ceil(days / 5 * 7)) + 2
    kind = kind or str(rng.choice(KINDS_LIT if lit else KINDS_SHADED))
    troubles = tuple(
        t for t, p in (("front", 0.4), ("warm wall", 0.3), ("wetting", 0.35), ("door", 0.3),
                       ("handled", 0.25), ("moved", 0.12), ("asleep", 0.2)) if rng.random() < p
    )  # fmt: skip
    begin = dt.datetime.combine(first, dt.time(), tzinfo=site.zone).astimezone(dt.UTC).replace(tzinfo=None)
    n = total * 86400 // STEP_S
    times = np.datetime64(begin, "us") + np.arange(n) * np.timedelta64(STEP_S, "s")
    local = pd.DatetimeIndex(times).tz_localize("UTC").tz_convert(site.zone)
    minute = np.arange(n // PER_MINUTE) * PER_MINUTE
    at = position(times[minute], latitude, site.longitude)
    fill = np.arange(n) / PER_MINUTE
    elevation = np.interp(fill, np.arange(minute.size), at.elevation_deg)
    azimuth = np.degrees(np.unwrap(np.radians(at.azimuth_deg)))
    azimuth = np.interp(fill, np.arange(minute.size), azimuth) % 360
    middle = first + dt.timedelta(days=total // 2)
    patches = draw_patches(rng, kind, middle, site, (0, 0))
    amplitude = float(np.exp(rng.uniform(np.log(1.4), np.log(11))))
    sky, kinds = cloud_cover(rng, total, rng.uniform(0.1, 0.7))
    beam = clear_beam(elevation)
    up = np.clip(np.sin(np.radians(elevation)), 0, None)
    diffuse = (0.1 + 0.25 * (1 - sky)) * 900 * up
    ground_sun = beam * sky * up + diffuse
    season = np.cos(2 * np.pi * ((middle.timetuple().tm_yday - 200) / 365)) * hemisphere
    warmth = 24 - 0.35 * abs(latitude) + (0.1 * abs(latitude) + 4) * season + rng.normal(0, 3) - 4
    air, region = air_temperature(rng, total, troubles, ground_sun, kinds, warmth)
    seen = np.zeros(n)
    for patch in patches:
        seen = np.maximum(seen, patch.visible(azimuth, elevation))
    wind = np.exp(ou(rng, n, 0.3, 4 * 3600) + ou(rng, n, rng.uniform(0.2, 0.4), rng.uniform(40, 150)))
    if kind == "leaves":
        seen = seen * np.clip(1 + ou(rng, n, 0.25, 45), 0.1, 1)
    gust = np.clip(wind**-0.5, 0.4, 1.7)
    clear = amplitude * beam / 800 * seen
    sunny = clear * sky * gust
    near = rng.uniform(0, 0.3)  # ground and walls beside the probe warm up too
    surroundings = near * lagged(sunny, rng.uniform(600, 2400))
    extra = disturbances(rng, troubles, local, air, beam * sky)
    tau = rng.uniform(20, 120)
    felt = lagged(air + sunny + surroundings + extra, tau) + rng.normal(0, 0.02, n)
    indicated = np.round(felt[minute] * 16) / 16
    truth = pd.DataFrame({
        "time": pd.DatetimeIndex(times[minute]).tz_localize("UTC"),
        "local": local[minute], "date": local[minute].date,
        "direct_c": sunny[minute], "excess_c": (sunny + surroundings * (seen > 0.05))[minute],
        "clear_excess_c": clear[minute] * (1 + 0.5 * near), "sky": sky[minute],
        "beam": beam[minute], "azimuth": azimuth[minute], "elevation": elevation[minute],
    })  # fmt: skip
    clock = truth["local"].dt.hour * 60 + truth["local"].dt.minute
    weekday = truth["local"].dt.day_of_week < 5
    truth["school"] = weekday & (clock >= 495) & (clock < 915)
    keep = truth["school"].to_numpy(copy=True) if only else np.ones(minute.size, bool)
    if only:
        dates = pd.unique(truth["date"][keep])[:days]
        keep &= np.isin(truth["date"].to_numpy(), dates)
    if "asleep" in troubles:
        for _ in range(2):
            hole = rng.integers(0, minute.size)
            keep[hole : hole + rng.integers(40, 300)] = False
    truth["recorded"] = keep
    record = pd.DataFrame({"time": truth["time"], "celsius": indicated})[keep].reset_index(drop=True)
    hourly = np.arange(0, n, 3600 // STEP_S)
    mean = np.convolve(region, np.ones(90) / 90, mode="same")
    lean = rng.normal(0, 0.8) + ou(rng, n, rng.uniform(0.3, 0.8), 8 * 3600)
    swing = 1 + rng.normal(0, 0.12)
    regional = warmth + swing * (mean - warmth) + lean
    weather = pd.DataFrame({
        "time": pd.DatetimeIndex(times[hourly]).tz_localize("UTC"), "celsius": np.round(regional[hourly], 1),
    })  # fmt: skip
    exposed = np.clip(elevation / 6, 0, 1) * rng.uniform(3, 8) * beam / 800 * sky * gust
    other = lagged(air + exposed, rng.uniform(20, 120)) + rng.normal(0, 0.02, n) + rng.normal(0, 0.25)
    open_probe = pd.DataFrame({"time": truth["time"], "celsius": np.round(other[minute] * 16) / 16})
    case = Case(
        seed, kind, troubles, site, SCHOOL, Sessions(), patches, amplitude, record, weather,
        open_probe[keep].reset_index(drop=True), truth, school_only=only,
    )  # fmt: skip
    return label(case)


def label(case: Case) -> Case:
    """Say whether the place is sunlit, by what a clear sky would do on each school day."""
    truth = case.truth
    lit = (truth["clear_excess_c"] >= CLEAR_EXCESS_C) & truth["school"]
    per_day = lit.groupby(truth["date"]).sum()[truth["school"].groupby(truth["date"]).any()]
    case.share = float((per_day >= 10).mean()) if len(per_day) else 0.0
    case.sunlit = case.share >= 0.5
    return case


def cases(first_seed: int, count: int, lit: bool, days: int = 10, **kwargs: object) -> list[Case]:
    """Draw until there are ``count`` cases whose label is the wanted one and not near its limit."""
    found: list[Case] = []
    seed = first_seed
    while len(found) < count:
        case = make(seed, lit, days, **kwargs)  # type: ignore[arg-type]
        seed += 1
        if case.sunlit == lit and not 0.2 < case.share < 0.7:
            found.append(case)
    return found
