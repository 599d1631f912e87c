"""Draw an invented class at random: place, season, box, roles, troubles, ways of working."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Literal
from zoneinfo import ZoneInfo

import numpy as np

from station.base.time import to_utc
from station.record.model import Probe, School, SessionPart, Sessions, Site, Thermometer
from station.scenario.plan import (
    ClassPlan,
    ClockTurn,
    Plant,
    ProbePlan,
    SkyWindow,
    TeamPlan,
    Trouble,
    TubePlan,
)

#: Zone, latitude, longitude, elevation [m]: real places on the map, no school meant.
_PLACES = (
    ("America/Chicago", 44.3, -91.4, 220.0), ("America/Denver", 39.7, -105.0, 1600.0),
    ("America/Halifax", 45.1, -64.3, 20.0), ("Europe/London", 52.9, -1.9, 90.0),
    ("Europe/Berlin", 48.6, 9.4, 330.0), ("Europe/Stockholm", 59.4, 15.6, 40.0),
    ("Europe/Madrid", 40.9, -3.9, 900.0), ("Asia/Tokyo", 36.4, 138.2, 420.0),
    ("Australia/Melbourne", -37.2, 145.3, 150.0), ("Pacific/Auckland", -40.3, 175.6, 40.0),
)  # fmt: skip
_TREES = (
    "Alder", "Ash", "Aspen", "Beech", "Birch", "Cedar", "Elm", "Fir", "Hazel", "Holly", "Larch", "Maple",
    "Oak", "Pine", "Rowan",
)  # fmt: skip
#: First Mondays of runs, so that all seasons and both clock changes occur.
_STARTS = ("2026-01-12", "2026-02-23", "2026-04-13", "2026-05-04", "2026-08-31", "2026-10-05", "2026-11-02")
#: A team's roles with invented weights; a class has three to six of them, the other teams do nothing special.
_ROLES = (
    "scales_swapped", "same_scale_twice", "ten_off", "minus_dropped", "counted_wrong_way", "small_marks",
    "converted_not_read", "rounded", "read_too_soon", "bulb_warmed", "eye_line", "in_the_sun",
    "copied_last_session", "digits_transposed", "wet_bulb", "warm_surface", "same_numbers", "scale_missing",
)  # fmt: skip
_WEEKS = 6


def draw_class(
    seed: int,
    *,
    honest: bool = False,
    troubles: bool = True,
    plenty: bool = False,
    clock_minutes: float | None = None,
    interval_s: int = 60,
    weeks: int = _WEEKS,
) -> ClassPlan:
    """Return the plan of a class drawn at random.

    Parameters
    ----------
    seed
        Chooses the class; the same seed gives the same class.
    honest
        No team does anything special and no slip belongs to a pattern.
    troubles
        Draw probe troubles, sun through an opening, mix-ups of cards.
    plenty
        Plant every thermometer fault, probe trouble and mix-up of cards that else only some classes have.
    clock_minutes
        Turn the probe's clock by this much for at least five school days; 0 never; ``None`` draws.
    interval_s
        Seconds between probe samples.
    weeks
        Length of the run.

    Returns
    -------
    ClassPlan
        To be given to ``play``.
    """
    rng = np.random.default_rng(np.random.SeedSequence((seed, 2)))
    zone_name, latitude, longitude, elevation = _PLACES[int(rng.integers(len(_PLACES)))]
    zone = ZoneInfo(zone_name)
    first = dt.date.fromisoformat(str(rng.choice(_STARTS)))
    last = first + dt.timedelta(days=7 * weeks - 3)
    school = School(first=first, last=last, class_scale="fahrenheit" if rng.random() < 0.15 else "celsius")
    days = [
        first + dt.timedelta(days=i)
        for i in range(7 * weeks)
        if school.is_school_day(first + dt.timedelta(i))
    ]

    carried: Literal["carried", "waiting outside"] = "carried" if rng.random() < 0.8 else "waiting outside"
    afternoon = dt.time(int(rng.choice((13, 14))), int(rng.choice((0, 30))))
    sessions = Sessions(
        parts=(SessionPart("morning", dt.time(9, 0), 15.0), SessionPart("afternoon", afternoon, 15.0)),
        indoor_c=float(np.round(rng.uniform(19.0, 22.5) * 2) / 2),
        thermometers=carried,
    )
    box = Thermometer(
        fahrenheit_division=2.0 if rng.random() < 0.8 else 1.0,
        time_constant_s=float(rng.uniform(50.0, 100.0)),
        accuracy_c=1.0,
    )
    names = sorted(rng.choice(_TREES, size=int(rng.integers(10, 16)), replace=False).tolist())
    teams = tuple(_team(rng, name, days) for name in names)
    if not honest:
        teams = _with_roles(rng, teams, days, box, carried == "carried")
    plan = ClassPlan(
        seed=seed,
        site=Site(zone, "the roofed corner", latitude, longitude, elevation),
        school=school,
        teams=teams,
        tubes=_tubes(rng, len(teams), days, honest, plenty),
        sessions=sessions,
        box=replace(box, time_constant_s=float(np.round(box.time_constant_s / 5.0) * 5.0)),
        probe=ProbePlan(
            offset_c=float(rng.uniform(-0.5, 0.5)),
            time_constant_s=float(rng.uniform(20.0, 120.0)),
            interval_s=interval_s,
        ),
        probe_as_stated=Probe(),
        school_days_only=bool(rng.random() < 0.25),
        absences=float(rng.uniform(0.02, 0.1)),
        background=0.0 if honest else float(rng.uniform(0.0, 0.03)),
        times_written=bool(rng.random() < 0.2),
        waits_written=bool(rng.random() < 0.3),
        written="fahrenheit" if school.class_scale == "fahrenheit" and rng.random() < 0.2 else "both",
    )
    return _with_troubles(rng, plan, days, clock_minutes, plenty) if troubles else plan


def _team(rng: np.random.Generator, name: str, days: list[dt.date]) -> TeamPlan:
    """Return a team that does nothing special: a small bias of its own, perhaps a change of pair."""
    changed = (
        (days[int(rng.integers(min(8, len(days) // 2), max(len(days) - 5, len(days) // 2 + 1)))],)
        if rng.random() < 0.15
        else ()
    )
    return TeamPlan(
        name,
        bias_c=float(np.clip(0.12 * rng.standard_normal(), -0.3, 0.3)),
        half_marks=bool(rng.random() < 0.35),
        wait_minutes=float(rng.uniform(6.0, 9.0)),
        new_pair=changed,
    )


def _with_roles(
    rng: np.random.Generator,
    teams: tuple[TeamPlan, ...],
    days: list[dt.date],
    box: Thermometer,
    carried: bool,
) -> tuple[TeamPlan, ...]:
    """Give three to six teams a role; some are coached later, which helps two in three."""
    chosen = rng.choice(len(teams), size=int(rng.integers(3, 7)), replace=False)
    out = list(teams)
    for i in chosen:
        kind = str(rng.choice(_ROLES))
        if kind == "read_too_soon" and not carried:
            kind = "eye_line"
        if kind == "small_marks" and box.fahrenheit_division < 2.0:
            kind = "ten_off"
        plant = _plant(rng, kind, box)
        team = out[i]
        if rng.random() < 0.35:
            date = days[int(rng.integers(len(days) // 2, len(days) - 4))]
            if rng.random() < 0.67:
                plant = replace(plant, last=date - dt.timedelta(days=1))
            team = replace(team, coached=((date, "reading"),))
        out[i] = replace(team, plants=(plant,))
    return tuple(out)


def _plant(rng: np.random.Generator, kind: str, box: Thermometer) -> Plant:
    """Return a role with its rate and size drawn."""
    scale: Literal["celsius", "fahrenheit"] = "celsius" if rng.random() < 0.5 else "fahrenheit"
    sometimes = float(rng.uniform(0.08, 0.3))
    if kind == "read_too_soon":
        return Plant(kind, size=float(rng.uniform(1.0, 2.2) * box.time_constant_s / 60.0))
    if kind == "bulb_warmed":
        return Plant(kind, rate=float(rng.uniform(0.15, 0.5)), size=float(rng.uniform(0.1, 0.25)))
    if kind == "eye_line":
        size = float(rng.uniform(0.7, 1.9)) * (1.0 if rng.random() < 0.5 else -1.0)
        return Plant(kind, size=size)
    if kind in ("in_the_sun", "warm_surface"):
        return Plant(kind, rate=float(rng.uniform(0.1, 0.3)), size=float(rng.uniform(2.0, 5.0)))
    if kind == "wet_bulb":
        return Plant(kind, rate=float(rng.uniform(0.1, 0.3)), size=float(rng.uniform(1.5, 3.0)))
    if kind == "small_marks":
        return Plant(kind, rate=float(rng.uniform(0.7, 1.0)), scale="fahrenheit")
    if kind in ("converted_not_read", "rounded"):
        return Plant(kind, rate=float(rng.uniform(0.8, 1.0)))
    if kind == "minus_dropped":
        return Plant(kind, rate=float(rng.uniform(0.5, 1.0)))
    return Plant(kind, rate=sometimes, scale=scale)


def _tubes(
    rng: np.random.Generator, teams: int, days: list[dt.date], honest: bool, plenty: bool
) -> tuple[TubePlan, ...]:
    """Return a box: mostly sound, often one warm or cool, sometimes a slipped plate or a separated column."""
    n = teams + int(rng.integers(0, 4))
    tubes = [TubePlan(str(i + 1), float(np.clip(0.25 * rng.standard_normal(), -0.5, 0.5))) for i in range(n)]
    if honest:
        return tuple(tubes)
    odd = rng.permutation(n)
    if rng.random() < 0.6 or plenty:
        sign = 1.0 if rng.random() < 0.5 else -1.0
        tubes[odd[0]] = replace(tubes[odd[0]], offset_c=sign * float(rng.uniform(1.2, 2.5)))
    if rng.random() < 0.4 or plenty:
        sign = 1.0 if rng.random() < 0.5 else -1.0
        tubes[odd[1]] = replace(tubes[odd[1]], plate_f=sign * float(rng.uniform(2.5, 6.0)))
    if rng.random() < 0.15:
        date = days[int(rng.integers(len(days) // 4, 3 * len(days) // 4))]
        sign = 1.0 if rng.random() < 0.5 else -1.0
        tubes[odd[2]] = replace(tubes[odd[2]], step_date=date, step_c=sign * float(rng.uniform(1.5, 4.0)))
    return tuple(tubes)


def _with_troubles(
    rng: np.random.Generator, plan: ClassPlan, days: list[dt.date], clock_minutes: float | None, plenty: bool
) -> ClassPlan:
    """Add probe troubles, a sunlit opening, crossed and misdated cards, a turned clock."""
    zone = plan.site.zone

    def at(day: dt.date, hour: float) -> dt.datetime:
        return to_utc(day, dt.time(int(hour), int(hour % 1 * 60)), zone)

    day_after = dt.timedelta(days=1)
    picked = [days[i] for i in rng.permutation(len(days))]
    troubles = []
    if rng.random() < 0.4 or plenty:
        troubles.append(Trouble("asleep", at(picked[0], 6.5), at(picked[0], float(rng.uniform(10, 16)))))
    if rng.random() < 0.25 or plenty:
        troubles.append(Trouble("power_on_value", at(picked[1], 0), at(picked[1] + day_after, 0)))
    if rng.random() < 0.25 or plenty:
        troubles.append(
            Trouble("disconnected_value", at(picked[2], 7), at(picked[2], float(rng.uniform(11, 20))))
        )
    if rng.random() < 0.25 or plenty:
        troubles.append(Trouble("indoors", at(picked[3], 0), at(picked[3] + day_after, 5)))
    crossed = (picked[4],) if rng.random() < 0.3 or plenty else ()
    misdated = []
    if rng.random() < 0.3 or plenty:
        true, typed = picked[5], picked[6]
        for i in rng.choice(len(plan.teams), size=int(rng.integers(1, 4)), replace=False):
            misdated.append((plan.teams[i].name, true, typed))
    turns: tuple[ClockTurn, ...] = ()
    minutes = clock_minutes if clock_minutes is not None else (60.0 if rng.random() < 0.15 else 0.0)
    if minutes:
        sign = 1.0 if rng.random() < 0.5 else -1.0
        start = int(rng.integers(2, len(days) - 6))
        span = int(rng.integers(5, min(12, len(days) - start)))
        turns = (ClockTurn(at(days[start], 0), at(days[start + span] + day_after, 0), sign * minutes),)
    window = None
    if rng.random() < 0.3:
        low = float(rng.uniform(90.0, 230.0))
        window = SkyWindow(
            (low, low + float(rng.uniform(15, 40))),
            (5.0, float(rng.uniform(25, 50))),
            float(rng.uniform(3.0, 8.0)),
        )
    if rng.random() < 0.15 or plenty:
        hour = float(rng.uniform(8.5, 11.0))
        until = hour + float(rng.uniform(4.0, 8.0))
        troubles.append(Trouble("stuck", at(picked[7], hour), at(picked[7], until)))
    if rng.random() < 0.15 or plenty:
        size = float(rng.uniform(3.0, 6.0)) * (1.0 if rng.random() < 0.5 else -1.0)
        hour = float(rng.uniform(8.5, 13.0))
        troubles.append(Trouble("step", at(picked[8], hour), at(picked[8], 20.0), size))
    probe = replace(plan.probe, troubles=tuple(troubles), clock=turns)
    return replace(plan, probe=probe, window=window, crossed_days=crossed, misdated=tuple(misdated))
