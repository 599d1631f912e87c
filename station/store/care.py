"""Care of a book as a whole: whether it is sound, and that what was deleted is really gone."""

from __future__ import annotations

import time

from station.base.exceptions import BookBusy, BookDamaged
from station.store import samples as series
from station.store.connection import Connection

#: How long a clean-up waits for readers to let go of old pages, s.
_READERS_S = 10.0


def check_integrity(connection: Connection) -> None:
    """Read the whole book.

    Raises
    ------
    BookDamaged
        Says what SQLite found, or that a sealed day cannot be unpacked.
    """
    with connection.read() as sql:
        found = [row[0] for row in sql.execute("PRAGMA integrity_check(3)")]
        if found != ["ok"]:
            raise BookDamaged(f"{connection.path} is damaged ({'; '.join(found)}); use the last backup")
        for (number,) in sql.execute("SELECT id FROM series").fetchall():
            series.packed(sql, number)


def clean(connection: Connection) -> None:
    """Rewrite the book without free pages and empty the WAL, so that no deleted byte is left in either.

    Raises
    ------
    BookBusy
        Another program reads old pages; that it is due stays remembered.
    """
    with connection.exclusive() as sql:
        sql.execute("VACUUM")
        deadline = time.monotonic() + _READERS_S
        while sql.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0]:
            if time.monotonic() > deadline:
                raise BookBusy(
                    "deleted, but a page or command still reads the book; close it and clean up again"
                )
            time.sleep(0.1)
    with connection.write() as sql:
        sql.execute("DELETE FROM memo WHERE key = 'clean-up due'")
