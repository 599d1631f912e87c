"""One value of station.toml, checked against its key; a value that cannot be meant is a ``BadEntry``."""

from __future__ import annotations

import datetime as dt
import math
import re
from typing import Any
from zoneinfo import ZoneInfo

from station.base.exceptions import BadEntry
from station.base.temperature import difference_c, value_c
from station.settings.keys import Key

_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


def convert(key: Key, value: Any) -> Any:
    """Return the value of one key in the type of its field.

    Raises
    ------
    BadEntry
        Ends a sentence that begins with the key.
    """
    if key.kind in ("text", "label"):
        return _text(key, value)
    if key.kind == "choice":
        if value not in key.choices:
            raise BadEntry(f"is {_shown(value)}, but can be {_either(key.choices)}")
        return value
    if key.kind in ("latitude", "longitude"):
        return _bounded(key, _angle(value, *("NS" if key.kind == "latitude" else "EW")))
    if key.kind in ("value", "difference"):
        return _bounded(key, _temperature(key, value))
    if key.kind == "number":
        return _bounded(key, _number(value))
    if key.kind == "zone":
        return _zone(value)
    if key.kind == "clock":
        return _clock(value)
    if key.kind == "date":
        return _date(value)
    if key.kind == "dates":
        return frozenset(_date(one) for one in _list(value))
    if key.kind == "weekdays":
        return _weekdays(value)
    return _hours(value)


def _shown(value: Any) -> str:
    """Return a value for a sentence, as short as a line can bear."""
    text = f'"{value}"' if isinstance(value, str) else str(value)
    return text if len(text) <= 40 else text[:37] + "..."


def _either(choices: tuple[str, ...]) -> str:
    *most, last = (f'"{choice}"' for choice in choices)
    return f"{', '.join(most)} or {last}"


def _text(key: Key, value: Any) -> str:
    if key.kind == "label" and isinstance(value, int) and not isinstance(value, bool):
        value = str(value)
    if not isinstance(value, str):
        raise BadEntry(f"is {_shown(value)}, but must be a text in quotes")
    if not value.strip():
        raise BadEntry("is empty")
    return " ".join(value.split())


def _number(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise BadEntry(f"is {_shown(value)}, but must be a number")
    try:
        return float(value)
    except OverflowError:
        return math.inf


def _temperature(key: Key, value: Any) -> float:
    """Read a number in degC, or a text with its unit: ``"68 degF"`` a value, ``"0.9 degF"`` a difference."""
    if not isinstance(value, str):
        return _number(value)
    try:
        return value_c(value) if key.kind == "value" else difference_c(value)
    except BadEntry:
        raise BadEntry(f'is {_shown(value)}, but must be a number in degC or such as "0.9 degF"') from None


def _bounded(key: Key, value: float) -> float:
    least_excluded = key.positive and value == key.low
    if not key.low <= value <= key.high or least_excluded or not math.isfinite(value):
        least = f"above {key.low:g}" if key.positive else f"from {key.low:g}"
        raise BadEntry(f"is {value:g}, but must be {least} to {key.high:g} {key.unit}".rstrip())
    return value


def _angle(value: Any, plus: str, minus: str) -> float:
    """Read ``44.3`` or ``"44.3 N"``."""
    if not isinstance(value, str):
        return _number(value)
    match = re.fullmatch(
        rf"\s*([+-]?\d+(?:\.\d*)?)\s*\N{{DEGREE SIGN}}?\s*([{plus}{minus}])?\s*", value.upper(), re.ASCII
    )
    if match is None or (match[2] and match[1][0] in "+-"):
        raise BadEntry(f'is {_shown(value)}, but must be degrees such as 44.3 or "44.3 {plus}"')
    return -float(match[1]) if match[2] == minus else float(match[1])


def _zone(value: Any) -> ZoneInfo:
    example = 'a name such as "America/Chicago"'
    if not isinstance(value, str):
        raise BadEntry(f"is {_shown(value)}, but must be {example}")
    try:
        return ZoneInfo(value)
    except (KeyError, ValueError, OSError):  # unknown, malformed, or a folder of the zone files
        raise BadEntry(f"is {_shown(value)}, which is no time zone; it must be {example}") from None


def _clock(value: Any) -> dt.time:
    if isinstance(value, dt.time):
        return value
    match = re.fullmatch(r"(\d\d?):(\d\d)", value, re.ASCII) if isinstance(value, str) else None
    try:
        if match is None:
            raise ValueError
        return dt.time(int(match[1]), int(match[2]))
    except ValueError:
        raise BadEntry(f'is {_shown(value)}, but must be a clock time such as "09:00"') from None


def _date(value: Any) -> dt.date:
    if isinstance(value, dt.date) and not isinstance(value, dt.datetime):
        return value
    try:
        if not isinstance(value, str) or not re.fullmatch(r"\d{4}-\d\d-\d\d", value, re.ASCII):
            raise ValueError
        return dt.date.fromisoformat(value)
    except ValueError:
        raise BadEntry(f'is {_shown(value)}, but must be a date such as "2026-10-05"') from None


def _list(value: Any) -> list[Any]:
    if not isinstance(value, list):
        raise BadEntry(f"is {_shown(value)}, but must be a list in [ ]")
    return value


def _weekdays(value: Any) -> tuple[int, ...]:
    days = []
    for name in _list(value):
        word = name.lower() if isinstance(name, str) else ""
        day = next((i for i, full in enumerate(_WEEKDAYS) if word in (full, full[:3])), None)
        if day is None:
            raise BadEntry(f'names {_shown(name)}, but days are "mon" to "sun"')
        days.append(day)
    if not days:
        raise BadEntry("names no day")
    return tuple(sorted(set(days)))


def _hours(value: Any) -> tuple[dt.time, dt.time]:
    if not isinstance(value, dict) or set(value) != {"start", "end"}:
        raise BadEntry('must be { start = "08:15", end = "15:15" }')
    start, end = _clock(value["start"]), _clock(value["end"])
    if start >= end:
        raise BadEntry("must end after it starts")
    return start, end
