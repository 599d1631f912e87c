"""Time stamps as text, one by one or thousands at once: ISO 8601 with an offset, Z, or neither.

References
----------
ISO 8601-1:2019, extended format; the space for ``T``, as RFC 3339 section 5.6 allows, and the decimal comma
are accepted.
"""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from station.base.exceptions import BadEntry
from station.base.time import FIRST_YEAR, LAST_YEAR, SECOND, Micros

_STAMP = re.compile(
    r"(?P<year>\d{4})-(?P<month>\d\d)-(?P<day>\d\d)[T ](?P<hour>\d\d):(?P<minute>\d\d)"
    r"(?::(?P<second>\d\d)(?:[.,](?P<fraction>\d{1,9}))?)?"
    r" ?(?P<zone>Z|[+-](?P<zone_hour>\d\d):?(?P<zone_minute>\d\d)?)?",
    re.ASCII,
)
_TEMPLATES = 4  # shapes of stamp tried at once in one block; a file has one, after a change of offset two


@dataclass(frozen=True)
class Stamps:
    """Stamps read: ``micros`` since 1970, UTC where ``aware``, else local wall time; ``ok``: readable."""

    micros: Micros
    aware: NDArray[np.bool_]
    ok: NDArray[np.bool_]


def parse_stamp(text: str) -> tuple[int, bool]:
    """Return microseconds since 1970 and whether they are UTC (else local wall time).

    Raises
    ------
    BadEntry
        Says what is wrong with the stamp.
    """
    cleaned = text.strip().upper().replace("\N{MINUS SIGN}", "-")
    match = _STAMP.fullmatch(cleaned)
    if match is None:
        raise BadEntry(f"{_shown(text)} is not a time such as 2026-10-05T09:00:00Z")
    part = {name: int(digits) for name, digits in match.groupdict().items() if digits and name != "zone"}
    try:
        day = dt.date(part["year"], part["month"], part["day"])
        clock = dt.datetime.combine(day, dt.time(part["hour"], part["minute"], part.get("second", 0)))
    except ValueError:
        raise BadEntry(f"{_shown(text)} is not a time that exists") from None
    if not FIRST_YEAR <= clock.year <= LAST_YEAR:
        raise BadEntry(f"{_shown(text)} has a year outside {FIRST_YEAR} to {LAST_YEAR}")
    micros = (clock - dt.datetime(1970, 1, 1)) // dt.timedelta(microseconds=1)
    micros += int((match["fraction"] or "").ljust(6, "0")[:6])
    zone = match["zone"]
    if zone and zone != "Z":
        hours, minutes = part["zone_hour"], part.get("zone_minute", 0)
        if hours > 18 or minutes > 59:
            raise BadEntry(f"{_shown(text)} has an offset that no place uses")
        micros += (1 if zone[0] == "-" else -1) * (hours * 60 + minutes) * 60 * SECOND
    return micros, zone is not None


def parse_block(letters: NDArray[np.uint8]) -> Stamps:
    """Read stamps of one length, given as bytes, shape (n, length); odd ones come back as not ``ok``.

    Stamps of the shape of the first (the same letters at the same places, digits anywhere) are read
    together, then those of the first that is left, and so on; what is left then is for ``parse_stamp``.
    """
    count = len(letters)
    result = Stamps(np.zeros(count, np.int64), np.zeros(count, np.bool_), np.zeros(count, np.bool_))
    digit = (letters >= 48) & (letters <= 57)
    left = np.arange(count)
    for _ in range(_TEMPLATES):
        if not left.size:
            break
        template, is_digit = letters[left[0]], digit[left[0]]
        same = (digit[left] == is_digit).all(axis=1) & (
            letters[np.ix_(left, np.flatnonzero(~is_digit))] == template[~is_digit]
        ).all(axis=1)
        rows, left = left[same], left[~same]
        match = _STAMP.fullmatch(template.tobytes().decode("latin-1"))
        if match is None:
            continue
        micros, ok = _read(letters if rows.size == count else letters[rows], match)
        result.micros[rows], result.ok[rows], result.aware[rows] = micros, ok, match["zone"] is not None
    return result


def _read(letters: NDArray[np.uint8], shape: re.Match[str]) -> tuple[Micros, NDArray[np.bool_]]:
    """Read stamps that all have the shape of one match."""

    def number(name: str) -> Micros:
        start, end = shape.span(name)
        value = np.zeros(len(letters), dtype=np.int64)
        for place in range(max(start, 0), end):
            value *= 10
            value += letters[:, place]
            value -= 48
        return value

    year, month, day = number("year"), number("month"), number("day")
    hour, minute, second = number("hour"), number("minute"), number("second")
    ok = (year >= FIRST_YEAR) & (year <= LAST_YEAR) & (month >= 1) & (month <= 12) & (day >= 1)
    months = np.where(ok, (year - 1970) * 12 + month - 1, 0)
    first = months.astype("M8[M]").astype("M8[D]").astype(np.int64)
    following = (months + 1).astype("M8[M]").astype("M8[D]").astype(np.int64)
    ok &= (day <= following - first) & (hour <= 23) & (minute <= 59) & (second <= 59)
    seconds = ((first + day - 1) * 24 + hour) * 3600 + minute * 60 + second
    zone = shape["zone"]
    if zone and zone != "Z":
        hours, minutes = number("zone_hour"), number("zone_minute")
        ok &= (hours <= 18) & (minutes <= 59)
        seconds += (1 if zone[0] == "-" else -1) * (hours * 60 + minutes) * 60
    micros = seconds * SECOND
    if shape["fraction"]:
        digits = len(shape["fraction"])
        fraction = number("fraction")
        micros += fraction * 10 ** (6 - digits) if digits <= 6 else fraction // 10 ** (digits - 6)
    return micros, ok


def _shown(text: str) -> str:
    """Return a text for a sentence: quoted, and cut where it is long."""
    return repr(text if len(text) <= 40 else text[:37] + "...")
