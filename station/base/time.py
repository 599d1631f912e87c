"""Local school time and UTC: the one place where a time zone is applied."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo


def to_utc(date: dt.date, clock: dt.time, zone: ZoneInfo) -> dt.datetime:
    """Return the UTC instant of a local date and clock time.

    A time skipped in spring moves forward by the jump; the repeated autumn hour means its first passing.
    """
    return dt.datetime.combine(date, clock, tzinfo=zone).astimezone(dt.UTC)
