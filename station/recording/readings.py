"""readings.csv as a frame: every entry as written, with its value where there is one."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pandas as pd

from station.base.exceptions import BadEntry, UnusableInput
from station.base.time import is_skipped, to_utc
from station.record import entry
from station.record.columns import READINGS, check
from station.recording.problems import Problems
from station.recording.rows import Context, each_row, frame_of

#: Columns of readings.csv as written.
WRITTEN = ("date", "session", "team", "thermometer", "celsius", "fahrenheit", "time", "waited", "note")

#: No liquid-in-glass thermometer shows so much in either scale; a slip of the keys would upset every mean.
BEYOND_ANY = 1000.0


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
            possible = cell.value is not None and abs(cell.value) <= BEYOND_ANY
            row[scale] = cell.value if possible else math.nan
            row[f"{scale}_written"] = cell.written
            if cell.value is not None and not possible:
                problems.add(
                    line,
                    f"{entry.shown(cell.written)} is on no thermometer; kept as written, without a value",
                )
            elif cell.kind == "unreadable":
                problems.add(
                    line, f"{entry.shown(cell.written)} is not a number; kept as written, without a value"
                )
            elif cell.unit and cell.unit != unit:
                problems.add(
                    line, f"{entry.shown(cell.written)} stands in the column {scale}; kept as written"
                )
        row["time"] = _reading_time(row["date"], cells.get("time", ""), context.zone, line, problems)
        row["waited"] = _waited(cells.get("waited", ""), line, problems)
        context.note_team(row["team"], line, problems)
        for column, value in row.items():
            found[column].append(value)

    header = each_row(path, "readings", WRITTEN, problems, take)
    if header and not {"celsius", "fahrenheit"} & set(header):
        raise UnusableInput(f'{path.name}: no column "celsius" or "fahrenheit" in the header')
    return check(frame_of(found, READINGS), READINGS, path.name)


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
