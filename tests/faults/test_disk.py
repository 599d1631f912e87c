"""The disk is full or may not be written: values stay in memory, it is said, and all are there afterwards."""

from __future__ import annotations

import pytest

from station.store import open_book


def full(book):
    with book._connection.read() as sql:
        pages = sql.execute("PRAGMA page_count").fetchone()[0]
    book._connection.sql.execute(f"PRAGMA max_page_count = {pages}")


def roomy(book):
    book._connection.sql.execute("PRAGMA max_page_count = 1000000")


def read_only(book):
    book._connection.sql.execute("PRAGMA query_only = ON")


def writable(book):
    book._connection.sql.execute("PRAGMA query_only = OFF")


def test_what_could_not_be_written_at_the_end_is_counted(world, memory_disk):
    with open_book(memory_disk / "class.book", create=True) as book:
        here = world()
        here.at(600.0, lambda w: full(book))
        logger = here.run(book, 1.0)
        roomy(book)
        assert logger.held == here.sent - len(book.frames().probe) > 100


@pytest.mark.parametrize(("breaks", "mends"), [(full, roomy), (read_only, writable)])
def test_trouble_and_recovery(world, memory_disk, breaks, mends):
    with open_book(memory_disk / "class.book", create=True) as book:
        here = world()
        held = []
        here.at(600.0, lambda w: breaks(book))
        here.at(1.5 * 3600.0, lambda w: (held.append(logger.state), mends(book)))
        logger = here.logger(book)
        end = here.t + 2 * 3600.0
        logger.run(lambda: here.t >= end)
        assert any("kept in memory" in state for state in here.states)
        assert "held in memory" in held[0]
        assert here.states[-1].startswith("recording")
        assert len(book.frames().probe) == here.sent
        book.check_integrity()
