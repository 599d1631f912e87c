"""One thing each, as frozen dataclasses: place, plan, probe, thermometer, session, sample, trouble.

Temperatures are degrees Celsius as ``float`` with the suffix ``_c``; instants are aware UTC datetimes;
clock times (``datetime.time``) are local to the site.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from typing import Literal
from zoneinfo import ZoneInfo

Scale = Literal["celsius", "fahrenheit", "both"]
Role = Literal["place", "open", "candidate"]


@dataclass(frozen=True)
class Site:
    """Where the class measures.

    ``latitude`` (north positive) and ``longitude`` (east positive) in degrees, ``elevation_m`` in metres;
    ``None`` where the teacher gave none.
    """

    zone: ZoneInfo
    name: str = "the place"
    latitude: float | None = None
    longitude: float | None = None
    elevation_m: float = 0.0


@dataclass(frozen=True)
class School:
    """The planned run: dates, school days and hours, and the class's rule for its value."""

    first: dt.date | None = None
    last: dt.date | None = None
    weekdays: tuple[int, ...] = (0, 1, 2, 3, 4)  # Monday is 0
    day_start: dt.time = dt.time(8, 15)
    day_end: dt.time = dt.time(15, 15)
    closed: frozenset[dt.date] = frozenset()
    class_scale: Scale = "celsius"
    class_rule: str = "most common"

    def open_on(self, date: dt.date) -> bool:
        """Tell whether school is open on ``date``, before, during or after the planned run."""
        return date.weekday() in self.weekdays and date not in self.closed

    def is_school_day(self, date: dt.date) -> bool:
        """Tell whether school is open on ``date``; the planned run's ends count, open ends don't limit."""
        return (
            self.open_on(date)
            and (self.first is None or date >= self.first)
            and (self.last is None or date <= self.last)
        )


@dataclass(frozen=True)
class Probe:
    """A probe and what its maker promises.

    ``accuracy_c`` is the half-width of the maker's limits (rectangular), ``resolution_c`` one step,
    ``correction_c`` is added to every indication and has the standard uncertainty ``u_correction_c``
    (``None``: never checked, so the maker's limits apply in full), ``time_constant_s`` seconds.
    """

    name: str = "probe"
    role: Role = "place"
    accuracy_c: float = 0.5
    resolution_c: float = 0.0625
    correction_c: float = 0.0
    u_correction_c: float | None = None
    time_constant_s: float = 60.0


@dataclass(frozen=True, order=True)
class Session:
    """One session: a school day and a part of it, such as ``morning``."""

    date: dt.date
    part: str

    def __str__(self) -> str:
        """Give date and part as people say them."""
        return f"{self.date.isoformat()} {self.part}"


@dataclass(frozen=True)
class SessionPart:
    """A part of the school day in which the class reads: local start and length in minutes."""

    name: str
    start: dt.time
    minutes: float


@dataclass(frozen=True)
class Sessions:
    """When and how the class reads: the parts of the day, the classroom, how thermometers travel."""

    parts: tuple[SessionPart, ...] = (
        SessionPart("morning", dt.time(9, 0), 15.0),
        SessionPart("afternoon", dt.time(14, 0), 15.0),
    )
    indoor_c: float = 20.5
    thermometers: Literal["carried", "waiting outside"] = "carried"


@dataclass(frozen=True)
class Thermometer:
    """One thermometer of the box, as its sheet and its marks say.

    Divisions and numbered spacings are in their own scale's degrees; ``accuracy_c`` is a band the teacher
    states in degC and ``band`` a key of the band table; with neither, the table is entered by liquid,
    division and range.
    """

    number: str = ""
    celsius_division: float = 1.0
    fahrenheit_division: float = 2.0
    celsius_numbered: float = 10.0
    fahrenheit_numbered: float = 20.0
    liquid: str = "spirit"
    lowest_c: float = -30.0
    highest_c: float = 50.0
    scale: Literal["behind", "front"] = "behind"
    time_constant_s: float = 75.0
    accuracy_c: float | None = None
    band: str | None = None
    retired: dt.date | None = None


@dataclass(frozen=True)
class ClockShift:
    """A clock error the teacher confirmed: ``shift_minutes`` is added to stamps of these local dates."""

    first: dt.date
    last: dt.date
    shift_minutes: float


@dataclass(frozen=True)
class Sample:
    """One value of a probe: UTC instant, degC, and which sensor of the line it came from.

    ``u_time_s`` is the standard uncertainty of the instant in seconds, ``uptime_s`` the probe's own counter
    where the line told it, ``span`` the stretch of the host's clock it was stamped in (see the book).
    """

    time: dt.datetime
    celsius: float
    sensor: str = ""
    u_time_s: float = 0.0
    uptime_s: float | None = None
    span: int | None = None


@dataclass(frozen=True)
class TimeDoubt:
    """A span of a probe's record [UTC] whose stamps have the standard uncertainty ``u_s`` seconds."""

    start: dt.datetime
    end: dt.datetime
    u_s: float


@dataclass(frozen=True)
class RejectedLine:
    """A line that could not be read, kept with the time it arrived and why."""

    time: dt.datetime
    line: str
    reason: str


@dataclass(frozen=True)
class Problem:
    """Something in a file that was not used as written: file, line (1 is the header, 0 the file), and why."""

    file: str
    line: int
    reason: str
    text: str = field(default="", compare=False)

    def __str__(self) -> str:
        """Give file, line and reason as one sentence."""
        return f"{self.file} line {self.line}: {self.reason}" if self.line else f"{self.file}: {self.reason}"


@dataclass(frozen=True)
class Fault:
    """A plain-word trouble of the probe over a span of UTC time."""

    kind: str
    start: dt.datetime
    end: dt.datetime
