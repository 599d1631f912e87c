"""The cards of one session: one row a team, found or made inside one transaction so that none is doubled."""

from __future__ import annotations

import datetime as dt
import sqlite3
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from station.base.exceptions import BadEntry

#: Cells of a card that a team fills in.
CELLS = ("thermometer", "celsius", "fahrenheit")


@dataclass(frozen=True)
class Card:
    """A card as it stands in the book; the two values as written and, where readable, as numbers."""

    row: int
    team: str
    thermometer: str
    celsius_written: str
    fahrenheit_written: str
    celsius: float | None
    fahrenheit: float | None
    note: str
    by: str


@dataclass(frozen=True)
class Change:
    """One cell of a card that changed: its row, column, and what stood there before and stands there now."""

    row: int
    column: str
    old: str
    new: str


def cards_of(sql: sqlite3.Connection, date: dt.date, session: str) -> list[Card]:
    """Return the cards of one session in the order of entry."""
    rows = sql.execute(
        "SELECT id, team, thermometer, celsius_written, fahrenheit_written, celsius, fahrenheit, note, by"
        " FROM reading WHERE date = ? AND session = ? ORDER BY id",
        (date.isoformat(), session),
    )
    return [Card(*row) for row in rows]


@dataclass(frozen=True)
class Typed:
    """What somebody typed for one team: session, cells as written, role, and the reason of a change."""

    date: dt.date
    session: str
    team: str
    cells: Mapping[str, Any]
    by: str
    reason: str = ""


def write_cards(sql: sqlite3.Connection, typed: Sequence[Typed], at: int) -> list[list[Change] | BadEntry]:
    """Write several cards in the caller's transaction; one that cannot be read costs that one only."""
    done: list[list[Change] | BadEntry] = []
    for one in typed:
        sql.execute("SAVEPOINT card")
        try:
            done.append(_write(sql, one, at))
        except BadEntry as refused:
            sql.execute("ROLLBACK TO card")
            done.append(refused)
        sql.execute("RELEASE card")
    return done


def _write(sql: sqlite3.Connection, typed: Typed, at: int) -> list[Change]:
    """Add a team's card, or change the cells that differ; return what changed."""
    from station.store import entries

    date, session, cells = typed.date, typed.session, typed.cells
    found = next((card for card in cards_of(sql, date, session) if card.team == typed.team), None)
    if found is None:
        new = {"date": date, "session": session, "team": typed.team, **cells}
        row = entries.add_reading(sql, new, typed.by, at)
        return [Change(row, name, "", str(cells[name])) for name in CELLS if cells.get(name)]
    for name, value in cells.items():
        entries.edit_reading(sql, found.row, name, value, typed.by, typed.reason, at)
    now = next(card for card in cards_of(sql, date, session) if card.row == found.row)
    return [
        Change(found.row, name, before, after)
        for name in CELLS
        if (before := cell(found, name)) != (after := cell(now, name))
    ]


def cell(card: Card, name: str) -> str:
    """Return one cell of a card as written."""
    return str(getattr(card, name if name == "thermometer" else f"{name}_written"))


def entries_seen(sql: sqlite3.Connection) -> tuple[int, int]:
    """Return the last reading's number and the count of logged changes: one moves with every entry."""
    last, edits = sql.execute(
        "SELECT (SELECT coalesce(max(id), 0) FROM reading), (SELECT count(*) FROM edits)"
    ).fetchone()
    return int(last), int(edits)
