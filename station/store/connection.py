"""The one way to reach a book's file: pragmas, the write lock, transactions, and plain words for troubles."""

from __future__ import annotations

import os
import sqlite3
import threading
import weakref
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from station.base.exceptions import (
    BookBusy,
    BookDamaged,
    BookTooNew,
    BookUnwritable,
    StationException,
    UnusableInput,
)
from station.store import schema
from station.store.lock import WriteLock

#: Checkpoint once the WAL has grown to this, bytes: seconds of work for a slow disk at most.
_WAL_LIMIT = 4_000_000
_PRAGMAS = (
    "synchronous = FULL",  # a commit is on the disk when it returns
    "wal_autocheckpoint = 0",  # checkpoints only under the lock
    "secure_delete = ON",  # deleted bytes are overwritten
    "temp_store = MEMORY",  # and not copied to temporary files
    "trusted_schema = OFF",
    "foreign_keys = ON",
    "busy_timeout = 1000",  # only readers can be in the way: writers wait for the lock
)


class Connection:
    """A connection to one book, safe to share between threads of a process.

    Raises
    ------
    UnusableInput
        There is no book, or the file is something else.
    BookTooNew, BookDamaged, BookUnwritable, BookBusy
        As their names say.
    """

    def __init__(self, path: Path, *, create: bool) -> None:
        self.path = path
        self._guard = threading.RLock()
        self.lock = WriteLock(path)
        if not create and not path.is_file():
            raise UnusableInput(f"there is no book {path}")
        with plain_words(path):
            self.sql, self.writable = _connect(path)
        self._finish = weakref.finalize(self, _close, self.sql, self.lock, self.writable)
        try:
            with plain_words(path):
                self._prepare(create)
        except BaseException:
            self.close()
            raise

    def _prepare(self, create: bool) -> None:
        found = int(self.sql.execute("PRAGMA user_version").fetchone()[0])
        application = int(self.sql.execute("PRAGMA application_id").fetchone()[0])
        empty = self.sql.execute("SELECT count(*) FROM sqlite_master").fetchone()[0] == 0
        if application != schema.APPLICATION_ID and not (empty and create):
            raise UnusableInput(f"{self.path} is not a book of this program")
        if found > schema.newest():
            raise BookTooNew(
                f"{self.path} was written by a later version of station; please update this one"
                " (nothing was changed)"
            )
        if not self.writable:
            return
        for pragma in _PRAGMAS:
            self.sql.execute(f"PRAGMA {pragma}")
        if found < schema.newest():
            with self.lock:
                if found:
                    backup(self, self.path.with_name(f"{self.path.name}.version-{found}"))
                self.sql.execute("PRAGMA journal_mode = WAL")
                with self.write():
                    if int(self.sql.execute("PRAGMA user_version").fetchone()[0]) == found:
                        schema.migrate(self.sql, found)
                self.sql.execute(
                    "PRAGMA wal_checkpoint(TRUNCATE)"
                ).fetchone()  # the file alone shows its kind

    @contextmanager
    def write(self) -> Iterator[sqlite3.Connection]:
        """Open a write transaction: on the disk when the block ends, or no trace of it if it fails."""
        if not self.writable:
            raise BookUnwritable(f"{self.path} is on a read-only disk or folder")
        with self._guard, plain_words(self.path), self.lock:
            self.sql.execute("BEGIN IMMEDIATE")
            try:
                yield self.sql
                self.sql.execute("COMMIT")
            except BaseException:
                if self.sql.in_transaction:
                    self.sql.execute("ROLLBACK")
                raise
            if _size(self.path.with_name(self.path.name + "-wal")) > _WAL_LIMIT:
                self.sql.execute("PRAGMA wal_checkpoint(PASSIVE)").fetchone()

    @contextmanager
    def exclusive(self) -> Iterator[sqlite3.Connection]:
        """Hold the write lock without a transaction, for work on the file as a whole."""
        if not self.writable:
            raise BookUnwritable(f"{self.path} is on a read-only disk or folder")
        with self._guard, plain_words(self.path), self.lock:
            yield self.sql

    @contextmanager
    def read(self) -> Iterator[sqlite3.Connection]:
        """Open a read transaction: one state of the book, which blocks no writer of another connection."""
        with self._guard, plain_words(self.path):
            if self.sql.in_transaction:  # within a write of the same thread
                yield self.sql
                return
            self.sql.execute("BEGIN")
            try:
                yield self.sql
            finally:
                self.sql.execute("ROLLBACK")

    def close(self) -> None:
        """Close; the last connection of all moves the WAL into the book, under the lock."""
        with self._guard:
            self._finish()


def _connect(path: Path) -> tuple[sqlite3.Connection, bool]:
    """Return a connection and whether it may write; a book on a read-only disk opens for reading.

    Never open the book's file by other means than SQLite, not even to look at its header: on POSIX systems
    the closing of that file drops the locks that SQLite holds on it in this process, and another process
    could then take the WAL away. (The load test in ``tests/faults`` damaged a book so within seconds.)
    """
    try:
        connection = _raw(f"{path.resolve().as_uri()}?mode=rwc")
        connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
        writable = not connection.execute("PRAGMA query_only").fetchone()[0] and os.access(path, os.W_OK)
        return connection, writable
    except sqlite3.OperationalError:
        if not path.is_file() or _size(path.with_name(path.name + "-wal")):
            raise
    return _raw(f"{path.resolve().as_uri()}?mode=ro&immutable=1"), False


def _raw(uri: str) -> sqlite3.Connection:
    return sqlite3.connect(uri, uri=True, isolation_level=None, check_same_thread=False, timeout=10.0)


def _close(sql: sqlite3.Connection, lock: WriteLock, writable: bool) -> None:
    try:
        if writable:
            with lock:
                sql.close()
        else:
            sql.close()
    except (StationException, sqlite3.Error):
        pass  # nothing is lost: what was committed stands in the WAL, and the next opening reads it
    lock.close()


def _size(path: Path) -> int:
    try:
        return path.stat().st_size
    except OSError:
        return 0


def backup(connection: Connection, target: Path) -> None:
    """Copy the book, as of now, to ``target`` while others go on writing; replaces the file when whole.

    Raises
    ------
    BookUnwritable
        The target cannot be written.
    """
    part = target.with_name(target.name + ".part")
    with plain_words(target):
        part.unlink(missing_ok=True)
        copy = sqlite3.connect(part)
        try:
            connection.sql.backup(copy, pages=1024)
            copy.execute("PRAGMA journal_mode = DELETE")
        finally:
            copy.close()
        part.replace(target)


@contextmanager
def plain_words(path: Path) -> Iterator[None]:
    """Turn SQLite's and the system's troubles with this file into situations of ours."""
    try:
        yield
    except BookDamaged as damage:
        told = str(damage)
        raise BookDamaged(told if str(path) in told else f"{path}: {told}") from None
    except OSError as trouble:
        raise BookUnwritable(f"{path} cannot be written ({trouble.strerror})") from None
    except sqlite3.DatabaseError as trouble:
        text = str(trouble).lower()
        if "locked" in text or "busy" in text:
            raise BookBusy(f"another program holds {path}") from None
        if "full" in text:
            raise BookUnwritable(f"the disk with {path} is full") from None
        if "readonly" in text or "unable to open" in text or "i/o" in text:
            raise BookUnwritable(f"{path} cannot be written ({trouble})") from None
        if "not a database" in text:
            raise UnusableInput(f"{path} is not a book of this program") from None
        if "malformed" in text or "corrupt" in text:
            raise BookDamaged(f"{path} is damaged ({trouble}); use the last backup") from None
        raise
