"""Numbers, dates and lists as people write them: true minus, unit after a narrow space, rounded honestly."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence

from station.views import wording

MINUS = "\u2212"
#: Narrow no-break space between a number and its unit (SI brochure, 9th ed., 5.4.3: a space, never a break).
NARROW = "\u202f"


def number(value: float | None, digits: int = 1, *, signed: bool = False) -> str:
    """Return a number with a true minus sign, an en dash where there is none; never a negative zero."""
    if value is None or math.isnan(value):
        return wording.NOTHING
    rounded = round(float(value), digits) + 0.0
    text = f"{rounded:{'+' if signed and rounded else ''}.{digits}f}"
    return text.replace("-", MINUS)


def degrees(value: float | None, digits: int = 1, *, signed: bool = False) -> str:
    """Return a temperature or a difference with its unit."""
    return f"{number(value, digits, signed=signed)}{NARROW}°C"


def span(low: float, high: float, digits: int = 1) -> str:
    """Return limits as "low to high"."""
    if math.isnan(low) or math.isnan(high):
        return wording.NOTHING
    return wording.SPAN.format(low=number(low, digits), high=number(high, digits))


def degree_span(low: float, high: float) -> str:
    """Return "from 4.0 °C to 14.0 °C", or "all 14.0 °C" where the two are one."""
    if low == high:
        return wording.ALL_AT.format(value=degrees(low))
    return wording.FROM_TO.format(low=degrees(low), high=degrees(high))


def between(low: float, high: float) -> str:
    """Return signed limits with their unit, "−0.4 and +0.5 °C"."""
    return wording.BETWEEN.format(low=number(low, signed=True), high=degrees(high, signed=True))


def limits(low: float, high: float) -> str:
    """Return signed limits with their unit, "−0.4 to +0.5 °C"."""
    return wording.SPAN.format(low=number(low, signed=True), high=degrees(high, signed=True))


def minutes(value: float) -> str:
    """Return a length of time in whole minutes, with its unit."""
    return f"{number(value, 0)}{NARROW}min"


def day(date: dt.date, *, weekday: bool = False) -> str:
    """Return a date as "15 Oct", with its weekday if asked."""
    short = wording.DAY.format(day=date.day, month=wording.MONTHS[date.month - 1])
    if not weekday:
        return short
    return wording.WEEKDAY_AND_DAY.format(weekday=wording.WEEKDAYS[date.weekday()], day=short)


def days(first: dt.date, last: dt.date) -> str:
    """Return the days of a record with the year, or with both years where they differ."""
    if first == last:
        return wording.WITH_YEAR.format(day=day(first, weekday=True), year=first.year)
    begin, end = (day(date, weekday=True) for date in (first, last))
    if first.year != last.year:
        begin = wording.WITH_YEAR.format(day=begin, year=first.year)
    return wording.SPAN.format(low=begin, high=wording.WITH_YEAR.format(day=end, year=last.year))


def moment(local: dt.datetime) -> str:
    """Return a local instant as "15 Oct 09:05"."""
    return wording.MOMENT.format(day=day(local.date()), time=f"{local:%H:%M}")


def session_name(date: dt.date, part: str) -> str:
    """Return a session as "Thu 15 Oct morning"."""
    return wording.SESSION_NAME.format(day=day(date, weekday=True), part=part)


def sessions_listed(sessions: Sequence[tuple[dt.date, str]], most: int) -> str:
    """Return sessions by day, "Tue 20 Oct morning and afternoon"; beyond ``most`` days a count."""
    days: dict[dt.date, list[str]] = {}
    for date, part in sessions:
        days.setdefault(date, []).append(part)
    named = [session_name(date, listed(parts)) for date, parts in list(days.items())[:most]]
    rest = sum(len(parts) for parts in list(days.values())[most:])
    if rest:
        named.append(wording.MORE_SESSIONS.format(n=rest))
    return wording.SEMICOLON.join(named)


def listed(items: Sequence[str], most: int | None = None) -> str:
    """Return "a, b and c"; beyond ``most`` items "a, b and 5 more"."""
    if most is not None and len(items) > most:
        items = [*items[:most], wording.MORE.format(n=len(items) - most)]
    if len(items) < 2:
        return "".join(items)
    return wording.LAST_OF_LIST.format(head=", ".join(items[:-1]), last=items[-1])


def counted(n: int, one: str, many: str) -> str:
    """Return "1 card" or "3 cards"."""
    return f"{n} {one if n == 1 else many}"


def kind(name: str) -> str:
    """Return a kind of trouble in plain words."""
    return wording.KINDS.get(name, name.replace("_", " "))
