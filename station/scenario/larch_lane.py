"""Larch Lane: the invented class of the demonstration, with one of nearly everything that goes wrong."""

from __future__ import annotations

import datetime as dt
from types import MappingProxyType
from zoneinfo import ZoneInfo

from station.base.time import to_utc
from station.record.model import Probe, School, Sessions, Site, Thermometer
from station.scenario.plan import (
    ClassPlan,
    ClockTurn,
    Plant,
    ProbePlan,
    SkyWindow,
    TeamPlan,
    Trouble,
    TubePlan,
    WeatherPlan,
)

_ZONE = ZoneInfo("America/Chicago")
#: Chosen so that slips come in the wanted numbers and nobody misses the days whose cards are mixed up.
_SEED = 3545

# October and November 2026, day of month -> departure from the season [degC] and share of sunshine.
_OCTOBER = {
    5: (1, 0.5), 6: (2, 0.97), 7: (3, 0.97), 8: (4, 0.5), 9: (1, 0.03), 10: (-1, 0.5), 11: (-2, 0.97),
    12: (0, 0.97), 13: (1, 0.5), 14: (2, 0.97), 15: (1, 0.5), 16: (-2, 0.03), 17: (-1, 0.97), 18: (1, 0.97),
    19: (3, 0.97), 20: (4, 0.5), 21: (5, 0.97), 22: (-5, 0.03), 23: (-4, 0.97), 24: (-3, 0.97), 25: (-2, 0.5),
    26: (-1, 0.97), 27: (0, 0.5), 28: (-3, 0.03), 29: (-6, 0.5), 30: (-5, 0.97), 31: (-2, 0.97),
}  # fmt: skip
_NOVEMBER = {
    1: (1, 0.5), 2: (2, 0.97), 3: (3, 0.97), 4: (3, 0.03), 5: (-1, 0.03), 6: (0, 0.97), 7: (-3, 0.5),
    8: (-4, 0.03), 9: (-6, 0.03), 10: (-8, 0.97), 11: (-9, 0.97), 12: (-8, 0.03), 13: (-6, 0.97),
}  # fmt: skip
#: One card of 8 October, of the afternoon, without its Fahrenheit value.
_MISSING_F = Plant(
    "scale_missing", scale="fahrenheit", every=2, first=dt.date(2026, 10, 8), last=dt.date(2026, 10, 8)
)


def larch_lane(*, school_days_only: bool = False) -> ClassPlan:
    """Return the plan of the demonstration class; ``school_days_only``: the laptop goes home after school."""
    days = {dt.date(2026, 10, day): values for day, values in _OCTOBER.items()}
    days |= {dt.date(2026, 11, day): values for day, values in _NOVEMBER.items()}
    return ClassPlan(
        seed=_SEED,
        site=Site(_ZONE, "roofed walk", 44.3, -91.4, 220.0),
        school=School(first=dt.date(2026, 10, 5), last=dt.date(2026, 11, 13)),
        sessions=Sessions(),
        box=Thermometer(accuracy_c=1.0),
        teams=_teams(),
        tubes=_box(),
        probe=_probe(),
        probe_as_stated=Probe(name="grey lead"),
        weather=WeatherPlan(
            departures=MappingProxyType({date: float(values[0]) for date, values in days.items()}),
            skies=MappingProxyType({date: values[1] for date, values in days.items()}),
        ),
        window=SkyWindow(azimuth=(205.0, 235.0), elevation=(5.0, 26.0)),
        school_days_only=school_days_only,
        numbers_from=dt.date(2026, 10, 6),
        crossed_days=(dt.date(2026, 10, 14),),
        misdated=tuple(
            (team, dt.date(2026, 10, 22), dt.date(2026, 10, 21)) for team in ("Beech", "Cedar", "Willow")
        ),
    )


def _teams() -> tuple[TeamPlan, ...]:
    """Return the fourteen teams; the first and last dates of a plant count."""
    first, coached = dt.date(2026, 10, 5), dt.date(2026, 10, 26)
    return (
        TeamPlan("Alder", 0.05, half_marks=True, wait_minutes=8.0),
        TeamPlan("Aspen", -0.08),
        TeamPlan(
            "Beech",
            0.02,
            plants=(_MISSING_F,),
        ),
        TeamPlan("Cedar", 0.1, half_marks=True),
        TeamPlan("Elm", -0.03, plants=(Plant("small_marks", scale="fahrenheit"),)),
        TeamPlan("Fir", 0.0, half_marks=True, plants=(Plant("read_too_soon", size=2.0),)),
        TeamPlan("Hazel", 0.04, plants=(Plant("bulb_warmed", size=0.2, every=4),)),
        TeamPlan(
            "Holly",
            -0.05,
            plants=(Plant("scales_swapped", rate=0.27, first=first, last=dt.date(2026, 10, 20)),),
        ),
        TeamPlan("Larch", 0.06, new_pair=(dt.date(2026, 10, 19),)),
        TeamPlan(
            "Maple",
            0.0,
            plants=(Plant("eye_line", size=1.0, last=coached - dt.timedelta(days=1)),),
            coached=((coached, "eye line"),),
        ),
        TeamPlan("Oak", -0.02, plants=(Plant("ten_off", rate=0.22),)),
        TeamPlan("Pine", 0.03, plants=(Plant("rounded", rate=0.9),)),
        TeamPlan("Rowan", -0.06, plants=(Plant("minus_dropped"),)),
        TeamPlan("Willow", 0.0, half_marks=True, plants=(Plant("converted_not_read"),)),
    )


def _box() -> tuple[TubePlan, ...]:
    """Return sixteen thermometers: 7 reads 1.6 degC high, the F plate of 11 sits 4 degF low."""
    sound = (
        0.12,
        -0.31,
        0.05,
        0.27,
        -0.08,
        -0.22,
        1.6,
        0.33,
        0.0,
        -0.15,
        0.1,
        0.41,
        -0.37,
        0.18,
        -0.05,
        -0.12,
    )
    return tuple(
        TubePlan(str(i), offset, plate_f=-4.0 if i == 11 else 0.0) for i, offset in enumerate(sound, start=1)
    )


def _probe() -> ProbePlan:
    """Return a probe that reads 0.2 degC high and the troubles of the run."""

    def at(month: int, day: int, hour: int, minute: int = 0) -> dt.datetime:
        return to_utc(dt.date(2026, month, day), dt.time(hour, minute), _ZONE)

    return ProbePlan(
        offset_c=0.2,
        interval_s=30,
        troubles=(
            Trouble("asleep", at(10, 15, 6, 40), at(10, 15, 12, 10)),
            Trouble("power_on_value", at(10, 20, 0), at(10, 21, 0)),
            Trouble("indoors", at(10, 26, 17), at(10, 28, 5, 30)),
        ),
        # Stamps whose local date is 2 to 6 November run an hour ahead, so the turn is at 23:00 of Sunday.
        clock=(ClockTurn(at(11, 1, 23), at(11, 6, 23), 60.0),),
    )
