"""A book: one SQLite file that holds everything a folder can hold, shared by logger, pages and commands.

Any number of processes and threads may open the same book, each its own; every write, checkpoint and close
happens under one lock (``lock.py``), and a commit is on the disk when it returns (synchronous FULL). Never
put a book on a network drive or in a folder that a program copies to other machines: neither keeps the order
of writes that a database needs.
"""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any

from station.base.exceptions import BadEntry, UnusableInput
from station.record.model import RejectedLine, Sample
from station.store import care
from station.store import connection as connections
from station.store import samples as series
from station.store.cards import Card, Change, Typed, cards_of, entries_seen, write_cards
from station.store.clock import Placement, Span
from station.store.connection import Connection
from station.store.samples import instant, micros
from station.store.where import refuse_network, refuse_other_kinds

if TYPE_CHECKING:
    import pandas as pd

    from station.record.columns import Frames


@dataclass(frozen=True)
class SettingsVersion:
    """One state of station.toml: when, by which role, why, and the text."""

    at: dt.datetime
    by: str
    reason: str
    text: str


def open_book(path: Path | str, *, create: bool = False, settings_text: str | None = None) -> Book:
    """Open a book, and make it if asked to.

    Parameters
    ----------
    path
        The book's file.
    create
        Make the book where there is none; its folder too.
    settings_text
        ``station.toml`` for a new book; not used for one that has settings.

    Raises
    ------
    UnusableInput
        There is no book, the file is something else, or it would lie on a network drive.
    BookTooNew
        A later version wrote it; nothing was changed.
    BookBusy, BookDamaged, BookUnwritable
        As their names say.
    """
    path = Path(path)
    refuse_other_kinds(path)
    if create and not path.exists():
        refuse_network(path)
        with connections.plain_words(path):
            path.parent.mkdir(parents=True, exist_ok=True)
    book = Book(Connection(path, create=create))
    if settings_text is not None and not book.settings_history():
        book.set_settings_text(settings_text, "station", "new book")
    return book


class Book:
    """An open book; use as a context manager. See `open_book`."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self.path = connection.path

    def __enter__(self) -> Book:
        """Give the book."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, value: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Close it."""
        self.close()

    def close(self) -> None:
        """Close the book."""
        self._connection.close()

    # settings

    def settings_text(self) -> str:
        """Return station.toml as it stands.

        Raises
        ------
        UnusableInput
            The book has no settings yet.
        """
        with self._connection.read() as sql:
            row = sql.execute("SELECT text FROM settings ORDER BY id DESC LIMIT 1").fetchone()
        if row is None:
            raise UnusableInput(f"{self.path} has no settings yet")
        return str(row[0])

    def set_settings_text(self, text: str, by: str, reason: str = "") -> None:
        """Write a new state of station.toml; the states before are kept as history."""
        from station.store.entries import role

        with self._connection.write() as sql:
            sql.execute(
                "INSERT INTO settings (at, by, reason, text) VALUES (?, ?, ?, ?)",
                (_now(), role(by), reason, text),
            )

    def settings_history(self) -> list[SettingsVersion]:
        """Return all states of station.toml, oldest first."""
        with self._connection.read() as sql:
            rows = sql.execute("SELECT at, by, reason, text FROM settings ORDER BY id").fetchall()
        return [SettingsVersion(instant(at), by, reason, text) for at, by, reason, text in rows]

    # the probe

    def append_samples(
        self,
        samples: Sequence[Sample],
        rejected: Sequence[RejectedLine] = (),
        *,
        span: int | None = None,
        until: dt.datetime | None = None,
        confirmed: bool = False,
    ) -> None:
        """Add samples (each to the probe named by its ``sensor``) and rejected lines in one commit.

        ``span`` is the stretch of the host's clock that now lasts ``until``, ``confirmed`` whether the system
        calls its clock synchronised.
        """
        with self._connection.write() as sql:
            series.append(sql, samples, rejected)
            if span is not None and until is not None:
                series.extend_span(sql, span, micros(until), confirmed)

    def new_span(self, start: dt.datetime, step_s: float | None, boot: str, base_s: float) -> int:
        """Begin a stretch of the host's clock, ``step_s`` after a jump of that size; return its number.

        ``boot`` names this start of the computer, ``base_s`` is wall clock minus steady clock.
        """
        step = None if step_s is None else round(step_s * 1e6)
        with self._connection.write() as sql:
            return series.new_span(sql, micros(start), step, boot, round(base_s * 1e6))

    def last_clock(self) -> tuple[str, float, dt.datetime] | None:
        """Return boot, base [s] and end of the last stretch of the host's clock, or None."""
        with self._connection.read() as sql:
            row = sql.execute("SELECT boot, base, end FROM clock_span ORDER BY id DESC LIMIT 1").fetchone()
        return None if row is None else (row[0], row[1] / 1e6, instant(row[2]))

    def clock_spans(self) -> list[tuple[Span, Placement]]:
        """Return the stretches of the host's clock and how their stamps are placed."""
        with self._connection.read() as sql:
            return list(series.placements(sql).values())

    def seal_days(self, before: dt.date) -> int:
        """Seal the UTC days before ``before`` in one transaction; return how many days."""
        with self._connection.write() as sql:
            return series.seal(sql, before)

    def last_sample(self, probe: str = "") -> Sample | None:
        """Return the last sample of a probe as stamped, or None."""
        with self._connection.read() as sql:
            return series.last(sql, probe)

    def counts(self) -> tuple[int, int]:
        """Return how many samples and how many rejected lines the book holds."""
        with self._connection.read() as sql:
            live, sealed, rejected = (
                int(sql.execute(query).fetchone()[0])
                for query in (
                    "SELECT count(*) FROM live",
                    "SELECT coalesce(sum(samples), 0) FROM day",
                    "SELECT count(*) FROM rejected",
                )
            )
        return live + sealed, rejected

    # entries

    def add_reading(self, cells: Mapping[str, Any], by: str) -> int:
        """Add a reading from cells as written; return its row. See ``entries.add_reading``."""
        from station.store import entries

        with self._connection.write() as sql:
            return entries.add_reading(sql, cells, by, _now())

    def edit_reading(self, row: int, column: str, new: Any, by: str, reason: str = "") -> None:
        """Change one cell of a reading; the old value, role, time and reason are kept in the edits."""
        from station.store import entries

        with self._connection.write() as sql:
            entries.edit_reading(sql, row, column, new, by, reason, _now())

    def readings(self) -> pd.DataFrame:
        """Return READINGS with ``row``, ``by`` and ``at`` of each entry."""
        from station.store import entries

        with self._connection.read() as sql:
            return entries.readings(sql)

    def cards_of(self, date: dt.date, session: str) -> list[Card]:
        """Return the cards of one session in the order of entry."""
        with self._connection.read() as sql:
            return cards_of(sql, date, session)

    def write_cards(self, typed: Sequence[Typed]) -> list[list[Change] | BadEntry]:
        """Write cards in one commit, each added or changed where it differs: one card a team, however often.

        Returns the changes of each, or why it was refused.
        """
        with self._connection.write() as sql:
            return write_cards(sql, typed, _now())

    def table(self, name: str) -> pd.DataFrame:
        """Return one optional table, in the order of entry."""
        from station.store import entries

        with self._connection.read() as sql:
            return entries.table(sql, name)

    def entries_seen(self) -> tuple[int, int]:
        """Return two counts that change with every entry and every change of one."""
        with self._connection.read() as sql:
            return entries_seen(sql)

    def add_row(self, table: str, cells: Mapping[str, Any], by: str) -> int:
        """Add a row to an optional table; return its number."""
        from station.store import entries

        with self._connection.write() as sql:
            return entries.add_row(sql, table, cells, by, _now())

    def edit_row(self, table: str, row: int, column: str, new: Any, by: str, reason: str = "") -> None:
        """Change one cell of an optional table; the old value is kept in the edits."""
        from station.store import entries

        with self._connection.write() as sql:
            entries.edit_row(sql, table, row, column, new, by, reason, _now())

    def rows_of(self, table: str) -> list[int]:
        """Return the row numbers of an optional table, in the order of its frame."""
        from station.store import entries

        with self._connection.read() as sql:
            return entries.rows_of(sql, table)

    def delete(self, table: str, rows: Sequence[int], by: str, reason: str) -> None:
        """Delete rows for good: logged without their content, overwritten, and gone from book and WAL.

        Raises
        ------
        BookBusy
            The rows are deleted, but another program still reads old pages; call `clean` later.
        """
        from station.store import entries

        with self._connection.write() as sql:
            for row in rows:
                entries.delete(sql, table, row, by, reason, _now())
            sql.execute("INSERT OR REPLACE INTO memo VALUES ('clean-up due', 'yes')")
        self.clean()

    # as a whole

    def frames(self) -> Frames:
        """Return everything as frames, with stamps placed by what is known of the host's clock."""
        from station.store.frames import frames

        with self._connection.read() as sql:
            return frames(sql)

    def time_uncertainty(self, probe: str = "") -> pd.DataFrame:
        """Return ``time`` (UTC) and ``u_time_s`` (standard uncertainty, s) of each sample of a probe."""
        from station.store.frames import time_uncertainty

        with self._connection.read() as sql:
            return time_uncertainty(sql, probe)

    def import_frames(
        self, frames: Frames, settings_text: str | None = None, documents: Mapping[str, bytes] | None = None
    ) -> None:
        """Add a whole recording in one transaction.

        Raises
        ------
        UnusableInput
            The book already holds readings or samples, which would be mixed up with those of the recording.
        """
        from station.store import entries

        with self._connection.write() as sql:
            for table in ("live", "day", "reading"):
                if sql.execute(f"SELECT 1 FROM {table} LIMIT 1").fetchone():
                    raise UnusableInput(f"{self.path} already holds a recording; import into a new book")
            for name, frame in frames.probes.items():
                series.add_frame(sql, "probe", name, frame)
            if len(frames.weather):
                series.add_frame(sql, "weather", "", frames.weather)
            entries.add_frames(sql, frames.readings, frames.tables, _now())
            for name, body in (documents or {}).items():
                sql.execute("INSERT OR REPLACE INTO document VALUES (?, ?)", (name, body))
            if settings_text is not None:
                sql.execute(
                    "INSERT INTO settings (at, by, reason, text) VALUES (?, 'import', 'imported', ?)",
                    (_now(), settings_text),
                )

    def documents(self) -> dict[str, bytes]:
        """Return the files kept as they are: README.md, probe.log."""
        with self._connection.read() as sql:
            return dict(sql.execute("SELECT name, body FROM document ORDER BY name"))

    def remember(self, key: str, value: Any) -> None:
        """Keep a small value (JSON) for the program itself, such as what was said about a port."""
        with self._connection.write() as sql:
            sql.execute("INSERT OR REPLACE INTO memo VALUES (?, ?)", (key, json.dumps(value)))

    def recall(self, key: str) -> Any:
        """Return a remembered value, or None."""
        with self._connection.read() as sql:
            row = sql.execute("SELECT value FROM memo WHERE key = ?", (key,)).fetchone()
        return None if row is None else json.loads(row[0])

    def check_integrity(self) -> None:
        """Read the whole book.

        Raises
        ------
        BookDamaged
            Says what SQLite found, or that a sealed day cannot be unpacked.
        """
        care.check_integrity(self._connection)

    def backup(self, target: Path | str) -> None:
        """Copy the book, as of now, to another file while others go on writing."""
        connections.backup(self._connection, Path(target))

    def clean(self) -> None:
        """Rewrite the book without free pages and empty the WAL, so that no deleted byte is left in either.

        Copies elsewhere (backups, exports, what a disk keeps of old blocks) are beyond its reach.

        Raises
        ------
        BookBusy
            Another program reads old pages; what is due is remembered, so call again later.
        """
        care.clean(self._connection)

    def clean_up_due(self) -> bool:
        """Tell whether deleted bytes may still be in the book or its WAL."""
        with self._connection.read() as sql:
            return sql.execute("SELECT 1 FROM memo WHERE key = 'clean-up due'").fetchone() is not None


def _now() -> int:
    return micros(dt.datetime.now(dt.UTC))
