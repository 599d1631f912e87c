"""What is planted in an invented class: habits, thermometers, probe troubles, mix-ups of cards."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

import pandas as pd

from station.record.columns import Frames
from station.record.model import Probe, School, Sessions, Site, Thermometer

#: Kinds that act on one card while it is written or typed.
SLIPS = (
    "scales_swapped",
    "same_scale_twice",
    "scale_missing",
    "minus_dropped",
    "counted_wrong_way",
    "ten_off",
    "small_marks",
    "digits_transposed",
    "copied_last_session",
    "wrong_thermometer_number",
)
#: Ways of filling in a card that need not make it wrong.
MANNERS = ("converted_not_read", "rounded", "same_numbers")
#: Kinds that move the liquid itself, or where the eye sees its end.
COLUMN = ("read_too_soon", "bulb_warmed", "eye_line", "in_the_sun", "warm_surface", "wet_bulb")


@dataclass(frozen=True)
class Plant:
    """Something a team does.

    ``rate`` is the share of its sessions (``every`` > 0: exactly every that many sessions instead). ``size``
    means, by kind: eye_line degC; read_too_soon minutes waited; bulb_warmed share of the way to a hand's
    33 degC; in_the_sun, warm_surface, wet_bulb degC. ``scale`` is the side a scale slip falls on.
    ``first`` and ``last`` bound it in time.
    """

    kind: str
    rate: float = 1.0
    size: float = 0.0
    scale: Literal["celsius", "fahrenheit"] = "celsius"
    every: int = 0
    first: dt.date | None = None
    last: dt.date | None = None

    def covers(self, date: dt.date) -> bool:
        """Tell whether the plant can act on ``date``."""
        return (self.first is None or date >= self.first) and (self.last is None or date <= self.last)


@dataclass(frozen=True)
class TeamPlan:
    """One team: its own small bias [degC], how it reads between marks, and what it does."""

    name: str
    bias_c: float = 0.0
    half_marks: bool = False
    wait_minutes: float = 7.0
    plants: tuple[Plant, ...] = ()
    coached: tuple[tuple[dt.date, str], ...] = ()
    new_pair: tuple[dt.date, ...] = ()


@dataclass(frozen=True)
class TubePlan:
    """One thermometer: how much it reads high, its F plate's slip [degF], a step of the column at a date."""

    number: str
    offset_c: float = 0.0
    plate_f: float = 0.0
    step_date: dt.date | None = None
    step_c: float = 0.0

    def offset_on(self, date: dt.date) -> float:
        """Return how much the column reads high on ``date`` [degC]."""
        return self.offset_c + (self.step_c if self.step_date is not None and date >= self.step_date else 0.0)


@dataclass(frozen=True)
class Trouble:
    """A trouble of the probe over UTC instants.

    Kinds: ``asleep``, ``power_on_value``, ``disconnected_value``, ``indoors``, ``stuck`` (one value again and
    again), ``step`` (``size_c`` more, as when the probe fell or touches metal).
    """

    kind: str
    start: dt.datetime
    end: dt.datetime
    size_c: float = 0.0


@dataclass(frozen=True)
class ClockTurn:
    """Stamps are true UTC plus ``shift_minutes`` between two true UTC instants."""

    start: dt.datetime
    end: dt.datetime
    shift_minutes: float


@dataclass(frozen=True)
class ProbePlan:
    """The probe: true offset [degC], true lag [s], sampling interval [s], what goes wrong."""

    offset_c: float = 0.0
    time_constant_s: float = 60.0
    interval_s: int = 60
    troubles: tuple[Trouble, ...] = ()
    clock: tuple[ClockTurn, ...] = ()


@dataclass(frozen=True)
class SkyWindow:
    """An opening through which the sun reaches the place, and what a clear sun adds to the probe."""

    azimuth: tuple[float, float]
    elevation: tuple[float, float]
    excess_c: float = 6.0


@dataclass(frozen=True)
class WeatherPlan:
    """Weather of one stretch, degC.

    Defaults for a place follow from its latitude; ``departures`` (from normal, at noon) and ``skies`` (share
    of sunshine) fix single days, the others are drawn.
    """

    mean_c: float | None = None
    season_c: float | None = None
    spread_c: float = 3.5
    departures: Mapping[dt.date, float] = field(default_factory=lambda: MappingProxyType({}))
    skies: Mapping[dt.date, float] = field(default_factory=lambda: MappingProxyType({}))


@dataclass(frozen=True)
class ClassPlan:
    """One invented class in one place over one run; see ``play``."""

    seed: int
    site: Site
    school: School
    teams: tuple[TeamPlan, ...]
    tubes: tuple[TubePlan, ...]
    sessions: Sessions = Sessions()
    box: Thermometer = Thermometer()
    probe: ProbePlan = ProbePlan()
    probe_as_stated: Probe = Probe()
    weather: WeatherPlan = WeatherPlan()
    window: SkyWindow | None = None
    school_days_only: bool = False
    scatter_c: float = 0.35  # random reading about the column, one standard deviation, each scale by itself
    absences: float = 0.06
    background: float = 0.0  # share of cards with a slip that belongs to nobody's pattern
    numbers_from: dt.date | None = None  # before this date cards carry no thermometer number
    fixed_tubes: bool = False  # each team keeps one thermometer for good
    written: Literal["both", "fahrenheit"] = "both"
    times_written: bool = False
    waits_written: bool = False
    crossed_days: tuple[dt.date, ...] = ()  # morning and afternoon cards typed under each other
    misdated: tuple[tuple[str, dt.date, dt.date], ...] = ()  # team, true date, date typed


@dataclass(frozen=True)
class Scenario:
    """A played plan: what the recording holds and what is true.

    ``truth`` has a row per row of ``frames.readings``: ``true_date``, ``true_session``, ``true_thermometer``,
    ``air_c`` (shade air at the reading), ``column_c`` (where the column stood on the scale, thermometer's
    offset included), ``excess_c`` (column cause of the row), ``column_kind``, ``slip`` and ``manner``
    ("" where none had an effect), ``sun_c`` (excess of the sun through the opening on this thermometer).
    """

    plan: ClassPlan
    frames: Frames
    truth: pd.DataFrame
    settings_text: str
