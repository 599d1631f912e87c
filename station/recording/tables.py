"""The small optional files as frames: every cell checked, every row kept or listed."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pandas as pd

from station.record import entry
from station.record.columns import TABLES, TIME, check
from station.recording.problems import Problems
from station.recording.rows import Context, as_listed, each_row, frame_of

#: Cells with a vocabulary of their own, by file and column; other words are kept, and said.
WORDS: Mapping[tuple[str, str], tuple[str, ...]] = {
    ("pairs", "change"): ("new pair", "one reader"),
    ("sessions", "held"): ("yes", "no"),
    ("sessions", "shadow"): ("yes", "faint", "no"),
    ("sessions", "air"): ("still", "leaves", "coats"),
    ("shadow", "shadow"): ("yes", "faint", "no"),
    ("checks", "scale"): ("celsius", "fahrenheit"),
}


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
        context.note_team(row.get("team", ""), line, problems)
        for column, value in row.items():
            words = WORDS.get((name, column), ())
            word = as_listed(value, words) if words else None
            if words and value and word is None:
                known = ", ".join(words)
                problems.add(line, f"{column} {entry.shown(value)} is not one of {known}; kept as written")
            found[column].append(word or value)

    each_row(path, name, tuple(columns), problems, take)
    return check(frame_of(found, columns), columns, path.name)


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
