"""One written cell: what a person put down, read as far as it can be and kept as it stands."""

from __future__ import annotations

import datetime as dt
import math
import re
from dataclasses import dataclass
from typing import Literal

from station.base.exceptions import BadEntry

Kind = Literal["value", "blank", "absent", "broken", "unreadable"]
Unit = Literal["C", "F", "K"]

# Signs that keyboards, spreadsheets and word processors put for a minus: hyphens, dashes, true minus,
# full-width and small forms. Soft hyphen, zero-width space and byte order mark are invisible, never meant.
_PLAIN = dict.fromkeys(map(ord, "\u2010\u2011\u2012\u2013\u2014\u2212\ufe58\ufe63\uff0d"), "-") | {
    0xAD: None, 0x200B: None, 0xFEFF: None, 0x2103: "\u00b0C", 0x2109: "\u00b0F",
}  # fmt: skip
# Degree sign, ordinal mark, ring above; 0xF8 and 0xDF are the degree sign of old code pages and of
# character displays, seen as these letters when read as Latin-1 (rule of the tally in the open-data notes).
_DEGREE = r"(?:[\u00b0\u00ba\u02da\u00f8\u00df*]|deg(?:rees?)?\.?)?"
_NUMBER = re.compile(
    rf"(?P<number>[+-]?\s?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d+)?)"
    rf"\s*{_DEGREE}\s*(?P<unit>[cfk]|cels?|celsius|centigrade|fahr|fahrenheit|kelvin)?\.?",
    re.ASCII | re.IGNORECASE,
)
_ABSENT = frozenset({"-", "--", "absent", "away", "missing", "n/a", "na", "none"})
_BROKEN = frozenset({"broken", "broke"})
_MONTHS = (
    "january", "february", "march", "april", "may", "june", "july", "august", "september", "october",
    "november", "december",
)  # fmt: skip


@dataclass(frozen=True)
class Entry:
    """A cell as read: ``value`` in the column's own scale or ``None``, the cell ``written``, and its kind.

    ``unit`` is the unit letter that stood in the cell, ``None`` where none did.
    """

    value: float | None
    written: str
    kind: Kind
    unit: Unit | None = None


def parse(cell: str) -> Entry:
    """Read one cell; never fails, a cell that cannot be read is of kind ``unreadable``."""
    text = plain(cell)
    word = text.casefold()
    if not word:
        return Entry(None, cell, "blank")
    if word in _ABSENT:
        return Entry(None, cell, "absent")
    if word in _BROKEN:
        return Entry(None, cell, "broken")
    match = _NUMBER.fullmatch(text)
    if match is None:
        return Entry(None, cell, "unreadable")
    value = float(re.sub(r"\s", "", match["number"]).replace(",", "."))
    if not math.isfinite(value):
        return Entry(None, cell, "unreadable")
    return Entry(value, cell, "value", _unit(match["unit"]))


def number(cell: str) -> float:
    """Return the number in a cell, without regard to a unit letter.

    Raises
    ------
    BadEntry
        The cell holds no finite number.
    """
    entry = parse(cell)
    if entry.value is None:
        raise BadEntry(f"{shown(cell)} is not a number" if cell.strip() else "there is no value")
    return entry.value


def plain(cell: str) -> str:
    """Return a cell with spaces, dashes and degree letters brought to their plain forms."""
    return " ".join(cell.translate(_PLAIN).split())


def thermometer_number(cell: str) -> str:
    """Return a thermometer's number as its plain label: ``" 07"`` and ``"7.0"`` are ``"7"``; text stays."""
    text = plain(cell)
    match = re.fullmatch(r"#?\s?0*(\d+)(?:[.,]0+)?", text, re.ASCII)
    return match[1] if match else text


def date(cell: str) -> dt.date:
    """Return the date in a cell: ISO 8601, or another order that can mean one day only.

    Day before month with dots (5.10.2026), month names, and a time of 00:00 that spreadsheets add are
    accepted. With slashes, two numbers up to 12 that differ could be either order and are refused.

    Raises
    ------
    BadEntry
        The cell is no date, or could be two.
    """
    text = re.sub(r"[T ]00:00(?::00(?:\.0+)?)?$", "", plain(cell))
    if not text:
        raise BadEntry("there is no date")
    year, month, day = _date_parts(text, cell)
    try:
        return dt.date(year, month, day)
    except ValueError:
        raise BadEntry(f"{shown(cell)} is not a date that exists") from None


def clock(cell: str) -> dt.time | None:
    """Return the clock time in a cell (HH:MM, seconds optional), ``None`` where it is blank.

    Raises
    ------
    BadEntry
        The cell is no clock time.
    """
    text = plain(cell)
    if not text or text in _ABSENT:
        return None
    match = re.fullmatch(
        r"(\d{1,2})[:.h](\d\d)(?::(\d\d))?(?:\s?([ap])\.?m\.?)?", text, re.ASCII | re.IGNORECASE
    )
    try:
        if match is None:
            raise ValueError
        hour = int(match[1])
        if match[4]:
            if not 1 <= hour <= 12:
                raise ValueError
            hour = hour % 12 + (12 if match[4].lower() == "p" else 0)
        return dt.time(hour, int(match[2]), int(match[3] or 0))
    except ValueError:
        raise BadEntry(f"{shown(cell)} is not a clock time such as 09:05") from None


def shown(cell: str, most: int = 40) -> str:
    """Return a cell for a sentence: quoted, and cut where it is longer than ``most``."""
    return repr(cell if len(cell) <= most else cell[: most - 3] + "...")


def _unit(word: str | None) -> Unit | None:
    if not word:
        return None
    return {"c": "C", "f": "F", "k": "K"}[word[0].lower()]  # type: ignore[return-value]


def _date_parts(text: str, cell: str) -> tuple[int, int, int]:
    """Return year, month and day of a cleaned date."""
    if match := re.fullmatch(r"(\d{4})([-/.]?)(\d\d?)\2(\d\d?)", text, re.ASCII):
        if match[2] or len(text) == 8:
            return int(match[1]), int(match[3]), int(match[4])
    elif match := re.fullmatch(r"(\d\d?)\. ?(\d\d?)\. ?(\d{4})", text, re.ASCII):
        return int(match[3]), int(match[2]), int(match[1])
    elif match := re.fullmatch(r"(\d\d?)([-/])(\d\d?)\2(\d{4})", text, re.ASCII):
        first, other = int(match[1]), int(match[3])
        if first <= 12 and other <= 12 and first != other:
            raise BadEntry(f"{shown(cell)} could be two dates; write it as 2026-10-05")
        return int(match[4]), min(first, other), max(first, other)
    elif match := re.fullmatch(
        r"(?:[a-z]+,? )?(\d\d?)\.?[ -]([a-z]{3,9})\.?[ -](\d{4})", text, re.I | re.ASCII
    ):
        if month := _month(match[2]):
            return int(match[3]), month, int(match[1])
    elif (match := re.fullmatch(r"([a-z]{3,9})\.? (\d\d?),? (\d{4})", text, re.I | re.ASCII)) and (
        month := _month(match[1])
    ):
        return int(match[3]), month, int(match[2])
    raise BadEntry(f"{shown(cell)} is not a date such as 2026-10-05")


def _month(word: str) -> int | None:
    """Return the month of an English name, whole or shortened to three letters or more."""
    name = word.lower()
    return next((month for month, full in enumerate(_MONTHS, start=1) if full.startswith(name)), None)
