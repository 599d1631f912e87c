"""readings.csv and the small optional files as frames: every cell checked, every row kept or listed."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd

from station.base.exceptions import BadEntry, UnusableInput
from station.base.stamps import parse_stamp
from station.base.time import from_local, is_skipped, to_utc
from station.record import entry
from station.record.columns import READINGS, TABLES, TIME, check, empty
from station.recording.lines import rows
from station.recording.problems import Problems

#: Columns that a file must have and whose cells must not be blank; all others may be absent or blank.
NEEDED: Mapping[str, tuple[str, ...]] = {
    "readings": ("date", "session", "team"),
    "coaching": ("team", "date"),
    "pairs": ("team", "date"),
    "edits": ("at", "table"),
    "decisions": ("date", "session"),
    "sessions": ("date", "session"),
    "shadow": ("time", "shadow"),
    "opening": ("azimuth", "elevation"),
    "rejected": ("time", "line"),
    "checks": ("date", "kind"),
}
#: Columns of readings.csv as written.
WRITTEN = ("date", "session", "team", "thermometer", "celsius", "fahrenheit", "time", "waited", "note")


@dataclass
class Context:
    """What the settings say that a row is checked against: zone, parts of the day, team labels."""

    zone: ZoneInfo
    parts: tuple[str, ...]
    teams: tuple[str, ...]

    def part(self, cell: str) -> str:
        """Return a part of the day as the settings spell it."""
        name = _as_listed(cell, self.parts)
        if name is None:
            raise BadEntry(f"{entry.shown(cell)} is not one of the sessions {', '.join(self.parts)}")
        return name

    def team(self, cell: str) -> str:
        """Return a team as the settings spell it; one that is not listed stays as it is."""
        label = " ".join(cell.split())
        return _as_listed(label, self.teams) or label

    def instant(self, cell: str) -> dt.datetime:
        """Return the UTC instant of a stamp."""
        micros, aware = parse_stamp(cell)
        if not aware:
            there = from_local(np.array([micros]), self.zone)
            if there.skipped[0]:
                raise BadEntry(f"{entry.shown(cell)} does not exist: clocks jumped over it")
            micros = int(there.utc[0])
        return dt.datetime(1970, 1, 1, tzinfo=dt.UTC) + dt.timedelta(microseconds=micros)


def read_table(path: Path, name: str, context: Context, problems: Problems) -> pd.DataFrame:
    """Return one of TABLES from its file.

    Raises
    ------
    UnusableInput
        The file cannot be read or its header misses a column that is needed.
    """
    columns = TABLES[name]
    convert = {column: _reader(column, kind, name, context) for column, kind in columns.items()}
    found: dict[str, list[Any]] = {column: [] for column in columns}

    def take(line: int, cells: Mapping[str, str]) -> None:
        row = {column: read(cells.get(column, "")) for column, read in convert.items()}
        for column, value in row.items():
            found[column].append(value)

    _each_row(path, name, tuple(columns), problems, take)
    return check(_frame(found, columns), columns, path.name)


def read_readings(path: Path, context: Context, problems: Problems) -> pd.DataFrame:
    """Return READINGS from readings.csv.

    A row without a date, session or team that can be used is listed and left out. A value, time or number
    that cannot be read stays as written, without a value, and is listed.

    Raises
    ------
    UnusableInput
        The file cannot be read or its header misses a column that is needed.
    """
    found: dict[str, list[Any]] = {column: [] for column in READINGS}
    strangers: dict[str, int] = {}

    def take(line: int, cells: Mapping[str, str]) -> None:
        row: dict[str, Any] = {
            "date": entry.date(cells["date"]),
            "session": context.part(cells["session"]),
            "team": context.team(cells["team"]),
            "thermometer": entry.thermometer_number(cells.get("thermometer", "")),
            "note": cells.get("note", ""),
            "line": line,
        }
        for scale, unit in (("celsius", "C"), ("fahrenheit", "F")):
            cell = entry.parse(cells.get(scale, ""))
            row[scale] = math.nan if cell.value is None else cell.value
            row[f"{scale}_written"] = cell.written
            if cell.kind == "unreadable":
                problems.add(
                    line, f"{entry.shown(cell.written)} is not a number; kept as written, without a value"
                )
            elif cell.unit and cell.unit != unit:
                problems.add(
                    line, f"{entry.shown(cell.written)} stands in the column {scale}; kept as written"
                )
        row["time"] = _reading_time(row["date"], cells.get("time", ""), context.zone, line, problems)
        row["waited"] = _waited(cells.get("waited", ""), line, problems)
        if context.teams and row["team"] not in context.teams and row["team"] not in strangers:
            strangers[row["team"]] = line
            problems.add(line, f"team {entry.shown(row['team'])} is not in station.toml; kept")
        for column, value in row.items():
            found[column].append(value)

    header = _each_row(path, "readings", WRITTEN, problems, take)
    if header and not {"celsius", "fahrenheit"} & set(header):
        raise UnusableInput(f'{path.name}: no column "celsius" or "fahrenheit" in the header')
    return check(_frame(found, READINGS), READINGS, path.name)


def _each_row(
    path: Path,
    name: str,
    columns: Sequence[str],
    problems: Problems,
    take: Callable[[int, Mapping[str, str]], None],
) -> tuple[str, ...]:
    """Hand each row to ``take`` by column name; what it refuses is a problem. Return the header."""
    names: tuple[str, ...] = ()
    for header, line, cells in rows(path, problems.add):
        if not line:
            names = header.names
            missing = [column for column in NEEDED[name] if column not in names]
            if missing:
                raise UnusableInput(
                    f'{path.name} line {header.line}: no column "{missing[0]}" in the header '
                    f"{entry.shown(header.text, 100)}"
                )
            unused = [column for column in names if column and column not in columns]
            if unused:
                problems.add(header.line, f"not used: column {', '.join(map(entry.shown, unused))}")
            continue
        row = dict(zip(reversed(names), reversed(cells), strict=True))  # of two equal names the first counts
        try:
            blank = [column for column in NEEDED[name] if not row[column]]
            if blank:
                raise BadEntry(f"there is no {blank[0]}")
            take(line, row)
        except BadEntry as trouble:
            problems.add(line, str(trouble), header.separator.join(cells))
    return names


def _reader(column: str, kind: str, name: str, context: Context) -> Callable[[str], Any]:
    """Return what reads the cells of one column of a small file."""
    if kind == TIME:
        return context.instant
    if kind == "object":
        return entry.date
    if kind == "float64":
        return lambda cell: entry.number(cell) if cell and entry.parse(cell).kind != "absent" else math.nan
    if column == "session":
        return context.part
    if column == "team":
        return context.team
    if column == "thermometer":
        return entry.thermometer_number
    return str


def _reading_time(
    date: dt.date, cell: str, zone: ZoneInfo, line: int, problems: Problems
) -> dt.datetime | None:
    """Return the UTC instant of a reading, ``None`` where its time is blank or cannot be used."""
    try:
        clock = entry.clock(cell)
        if clock is None:
            return None
        if is_skipped(date, clock, zone):
            raise BadEntry(f"{entry.shown(cell)} does not exist on {date}: clocks jumped over it")
        return to_utc(date, clock, zone)
    except BadEntry as trouble:
        problems.add(line, f"{trouble}; the row counts without its time", cell)
        return None


def _waited(cell: str, line: int, problems: Problems) -> float:
    """Return the minutes waited, NaN where blank or not a number from 0."""
    text = cell.casefold().removesuffix("utes").removesuffix("min").rstrip()
    if not text or entry.parse(text).kind in ("blank", "absent"):
        return math.nan
    value = entry.parse(text).value
    if value is None or not 0 <= value <= 1440:
        problems.add(
            line, f"waited {entry.shown(cell)} is not a number of minutes; the row counts without it", cell
        )
        return math.nan
    return value


def _as_listed(cell: str, names: Sequence[str]) -> str | None:
    """Return the one of ``names`` that a cell means, whatever its case and spaces."""
    label = " ".join(cell.split()).casefold()
    return next((name for name in names if name.casefold() == label), None)


def _frame(found: Mapping[str, list[Any]], columns: Mapping[str, str]) -> pd.DataFrame:
    """Return columns of plain values as a frame of the kinds that are promised."""
    if not found[next(iter(columns))]:
        return empty(columns)
    return pd.DataFrame({name: _series(values, columns[name]) for name, values in found.items()})


def _series(values: list[Any], kind: str) -> pd.Series:
    """Return values as a column of one kind; ``None`` is no time."""
    return pd.Series(pd.to_datetime(values, utc=True) if kind == TIME else values, dtype=kind)
