"""Rows of the small files by column name, and what the settings say that they are checked against."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd

from station.base.exceptions import BadEntry
from station.base.stamps import parse_stamp
from station.base.time import from_local
from station.record import entry
from station.record.columns import TIME, empty
from station.recording.lines import rows
from station.recording.problems import Problems, no_column

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


@dataclass
class Context:
    """What the settings say that a row is checked against: zone, parts of the day, team labels."""

    zone: ZoneInfo
    parts: tuple[str, ...]
    teams: tuple[str, ...]

    def part(self, cell: str) -> str:
        """Return a part of the day as the settings spell it."""
        name = as_listed(cell, self.parts)
        if name is None:
            raise BadEntry(f"{entry.shown(cell)} is not one of the sessions {', '.join(self.parts)}")
        return name

    def team(self, cell: str) -> str:
        """Return a team as the settings spell it; one that is not listed stays as it is."""
        label = " ".join(cell.split())
        return as_listed(label, self.teams) or label

    def note_team(self, label: str, line: int, problems: Problems) -> None:
        """Say once in a file that a team is not listed, where teams are listed at all."""
        if self.teams and label and label not in self.teams:
            problems.add_once(f"team {entry.shown(label)} is not in station.toml; kept", line)

    def instant(self, cell: str) -> dt.datetime:
        """Return the UTC instant of a stamp."""
        micros, aware = parse_stamp(cell)
        if not aware:
            there = from_local(np.array([micros]), self.zone)
            if there.skipped[0]:
                raise BadEntry(f"{entry.shown(cell)} does not exist: clocks jumped over it")
            micros = int(there.utc[0])
        return dt.datetime(1970, 1, 1, tzinfo=dt.UTC) + dt.timedelta(microseconds=micros)


def each_row(
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
                raise no_column(path.name, header.line, missing[0], header.text)
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


def as_listed(cell: str, names: Sequence[str]) -> str | None:
    """Return the one of ``names`` that a cell means, whatever its case and spaces."""
    label = " ".join(cell.split()).casefold()
    return next((name for name in names if name.casefold() == label), None)


def frame_of(found: Mapping[str, list[Any]], columns: Mapping[str, str]) -> pd.DataFrame:
    """Return columns of plain values as a frame of the kinds that are promised."""
    if not found[next(iter(columns))]:
        return empty(columns)
    return pd.DataFrame({name: _series(values, columns[name]) for name, values in found.items()})


def _series(values: list[Any], kind: str) -> pd.Series:
    """Return values as a column of one kind; ``None`` is no time."""
    return pd.Series(pd.to_datetime(values, utc=True) if kind == TIME else values, dtype=kind)
