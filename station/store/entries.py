"""Readings, the small optional tables and their edits: nothing changes without a row that says so."""

from __future__ import annotations

import datetime as dt
import math
import sqlite3
from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd

from station.base.exceptions import BadEntry
from station.record import entry
from station.record.columns import READINGS, TABLES, TIME, empty
from station.store.samples import instant, micros

#: Who may change something: roles, never persons.
ROLES = ("teacher", "pupils", "station", "import")

#: Columns of a reading that a person may write; celsius and fahrenheit follow from what was written.
WRITABLE = ("date", "session", "team", "thermometer", "celsius", "fahrenheit", "time", "waited", "note")


def role(by: str) -> str:
    """Return a role.

    Raises
    ------
    BadEntry
        Not one of `ROLES`, so perhaps a person.
    """
    if by not in ROLES:
        raise BadEntry(f"{entry.shown(by)} is no role; use one of {', '.join(ROLES)}")
    return by


def add_reading(sql: sqlite3.Connection, cells: Mapping[str, Any], by: str, at: int) -> int:
    """Add a reading; ``cells`` holds columns of `WRITABLE` as written, ``time`` as an instant or None."""
    for name in cells:
        if name not in WRITABLE:
            raise BadEntry(f"a reading has no column {entry.shown(name)}")
    stored: dict[str, Any] = {}
    for name in WRITABLE:
        stored |= _stored(name, cells.get(name))
    names = ", ".join(stored)
    marks = ", ".join("?" * (len(stored) + 2))
    cursor = sql.execute(
        f"INSERT INTO reading ({names}, by, at) VALUES ({marks})", (*stored.values(), role(by), at)
    )
    assert cursor.lastrowid is not None
    return cursor.lastrowid


def edit_reading(
    sql: sqlite3.Connection, row: int, column: str, new: Any, by: str, reason: str, at: int
) -> None:
    """Change one cell of a reading and write down what it was."""
    if column not in WRITABLE:
        raise BadEntry(f"a reading has no column {entry.shown(column)}")
    written = f"{column}_written" if column in ("celsius", "fahrenheit") else column
    old = _must_exist(sql, "reading", row, written)
    for name, value in _stored(column, new).items():
        sql.execute(f'UPDATE reading SET "{name}" = ? WHERE id = ?', (value, row))
    now = sql.execute(f'SELECT "{written}" FROM reading WHERE id = ?', (row,)).fetchone()[0]
    if now != old:
        log(sql, at, by, "readings", str(row), column, _shown(column, old), _shown(column, now), reason)


def add_row(sql: sqlite3.Connection, table: str, cells: Mapping[str, Any], by: str, at: int) -> int:
    """Add a row to an optional table; the entry of the row itself is its log, except where values matter."""
    columns = _columns(table)
    for name in cells:
        if name not in columns:
            raise BadEntry(f"{table} has no column {entry.shown(name)}")
    values = [_cell(cells.get(name), kind) for name, kind in columns.items()]
    names = ", ".join(f'"{name}"' for name in columns)
    cursor = sql.execute(f'INSERT INTO "{table}" ({names}) VALUES ({", ".join("?" * len(values))})', values)
    assert cursor.lastrowid is not None
    sql.execute("INSERT OR IGNORE INTO present VALUES (?)", (table,))
    log(sql, at, by, table, str(cursor.lastrowid), "", "", "added", "")
    return cursor.lastrowid


def edit_row(
    sql: sqlite3.Connection, table: str, row: int, column: str, new: Any, by: str, reason: str, at: int
) -> None:
    """Change one cell of an optional table and write down what it was."""
    columns = _columns(table)
    if column not in columns:
        raise BadEntry(f"{table} has no column {entry.shown(column)}")
    old = _must_exist(sql, table, row, column)
    value = _cell(new, columns[column])
    if value != old:
        sql.execute(f'UPDATE "{table}" SET "{column}" = ? WHERE id = ?', (value, row))
        log(sql, at, by, table, str(row), column, _shown(column, old), _shown(column, value), reason)


def delete(sql: sqlite3.Connection, table: str, row: int, by: str, reason: str, at: int) -> None:
    """Delete a row, and what its edits said it held; the deletion itself is written down, without content."""
    name = "reading" if table == "readings" else table
    if table != "readings":
        _columns(table)
    _must_exist(sql, name, row, "id")
    sql.execute(f'DELETE FROM "{name}" WHERE id = ?', (row,))
    sql.execute("UPDATE edits SET old = '', new = '' WHERE \"table\" = ? AND row = ?", (table, str(row)))
    log(sql, at, by, table, str(row), "", "", "deleted", reason)


def log(
    sql: sqlite3.Connection,
    at: int,
    by: str,
    table: str,
    row: str,
    column: str,
    old: str,
    new: str,
    reason: str,
) -> None:
    """Write one line of the record of changes."""
    sql.execute(
        'INSERT INTO edits (at, by, "table", row, "column", old, new, reason)'
        " VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
        (at, role(by), table, row, column, old, new, reason),
    )
    sql.execute("INSERT OR IGNORE INTO present VALUES ('edits')")


def add_frames(
    sql: sqlite3.Connection, readings: pd.DataFrame, tables: Mapping[str, pd.DataFrame], at: int
) -> None:
    """Add whole frames as they are: values as parsed, edits as they were logged elsewhere."""
    names = [name for name in READINGS if name != "line"]
    rows = zip(*(map(_plain, readings[name]) for name in names), strict=True)
    quoted = ", ".join(names)
    sql.executemany(
        f"INSERT INTO reading ({quoted}, by, at) VALUES ({', '.join('?' * len(names))}, 'import', {at})", rows
    )
    for table, frame in tables.items():
        columns = ", ".join(f'"{name}"' for name in TABLES[table])
        sql.executemany(
            f'INSERT INTO "{table}" ({columns}) VALUES ({", ".join("?" * len(TABLES[table]))})',
            zip(*(map(_plain, frame[name]) for name in TABLES[table]), strict=True),
        )
        sql.execute("INSERT OR IGNORE INTO present VALUES (?)", (table,))


def readings(sql: sqlite3.Connection) -> pd.DataFrame:
    """Return READINGS and ``row``, ``by``, ``at``: number in the book, role and time of entry."""
    columns = {**{name: kind for name, kind in READINGS.items() if name != "line"}, "by": "str", "at": TIME}
    frame = _frame(sql, "reading", columns)
    frame["line"] = pd.Series(range(2, len(frame) + 2), dtype="int64")
    frame["row"] = pd.Series([r[0] for r in sql.execute("SELECT id FROM reading ORDER BY id")], dtype="int64")
    return frame[[*READINGS, "row", "by", "at"]]


def table(sql: sqlite3.Connection, name: str) -> pd.DataFrame:
    """Return one of TABLES in the order of entry."""
    return _frame(sql, name, TABLES[name])


def rows_of(sql: sqlite3.Connection, name: str) -> list[int]:
    """Return the numbers of the rows of an optional table, in the order of `table`."""
    _columns(name)
    return [int(row[0]) for row in sql.execute(f'SELECT id FROM "{name}" ORDER BY id')]


def present(sql: sqlite3.Connection) -> list[str]:
    """Return the names of the optional tables that the recording has."""
    known = {row[0] for row in sql.execute("SELECT name FROM present")}
    return [
        name for name in TABLES if name in known or sql.execute(f'SELECT 1 FROM "{name}" LIMIT 1').fetchone()
    ]


def _frame(sql: sqlite3.Connection, name: str, columns: Mapping[str, str]) -> pd.DataFrame:
    quoted = ", ".join(f'"{column}"' for column in columns)
    rows = sql.execute(f'SELECT {quoted} FROM "{name}" ORDER BY id').fetchall()
    if not rows:
        return empty(columns)
    cells = dict(zip(columns, zip(*rows, strict=True), strict=True))
    return pd.DataFrame({column: _series(column, kind, cells[column]) for column, kind in columns.items()})


def _series(column: str, kind: str, cells: tuple[Any, ...]) -> pd.Series[Any]:
    if kind == TIME:
        times = np.array(["NaT" if cell is None else int(cell) for cell in cells], dtype="M8[us]")
        return pd.Series(pd.DatetimeIndex(times).tz_localize("UTC"))
    if column == "date":
        return pd.Series(
            [None if cell is None else dt.date.fromisoformat(cell) for cell in cells], dtype="object"
        )
    if kind == "float64":
        return pd.Series([math.nan if cell is None else cell for cell in cells], dtype="float64")
    return pd.Series(["" if cell is None else cell for cell in cells], dtype=kind)


def _plain(value: Any) -> Any:
    """Return a value of a frame as SQLite keeps it."""
    if value is None or value is pd.NaT or (isinstance(value, float) and math.isnan(value)):
        return None
    if isinstance(value, dt.datetime):
        return micros(value)
    if isinstance(value, dt.date):
        return value.isoformat()
    return value


def _stored(column: str, value: Any) -> dict[str, Any]:
    """Return what a cell of a reading becomes in the book: name of each column and its value."""
    if column in ("celsius", "fahrenheit"):
        cell = entry.parse("" if value is None else str(value))
        return {column: cell.value, f"{column}_written": cell.written}
    if column == "time":
        if value is not None and (not isinstance(value, dt.datetime) or value.tzinfo is None):
            raise BadEntry("the time of a reading needs a zone")
        return {column: None if value is None else micros(value)}
    if column == "waited":
        return {column: None if value in (None, "") else entry.number(str(value))}
    if column == "date":
        day = value if isinstance(value, dt.date) else entry.date(str(value or ""))
        return {column: day.isoformat()}
    text = str(value or "")
    if column in ("session", "team") and not text.strip():
        raise BadEntry(f"there is no {column}")
    return {column: entry.thermometer_number(text) if column == "thermometer" else text}


def _cell(value: Any, kind: str) -> Any:
    if value is None or value == "":
        return None if kind == "float64" or kind == TIME else ""
    if kind == TIME and (not isinstance(value, dt.datetime) or value.tzinfo is None):
        raise BadEntry("a time needs a zone")
    if kind == "float64":
        return float(value) if isinstance(value, int | float) else entry.number(str(value))
    if kind == "object" and not isinstance(value, dt.date):
        return entry.date(str(value)).isoformat()
    return _plain(value) if isinstance(value, dt.date) else str(value)


def _shown(column: str, value: Any) -> str:
    if value is None:
        return ""
    if column in ("time", "at") and isinstance(value, int):
        return instant(value).isoformat()
    return str(value)


def _columns(name: str) -> Mapping[str, str]:
    if name not in TABLES:
        raise BadEntry(f"a book has no table {entry.shown(name)}")
    return TABLES[name]


def _must_exist(sql: sqlite3.Connection, name: str, row: int, column: str) -> Any:
    found = sql.execute(f'SELECT "{column}" FROM "{name}" WHERE id = ?', (row,)).fetchone()
    if found is None:
        raise BadEntry(f"there is no row {row} in {name}")
    return found[0]
