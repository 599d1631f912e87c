"""Logger and console write one book while others read it: nothing is lost, the book stays whole.

SQLite before 3.51.3 can corrupt a WAL when two connections write and checkpoint at once; here both write and
checkpoint as often as they can, each in its own process.
"""

from __future__ import annotations

import datetime as dt
import subprocess
import sys
import time

import pytest

from station.record.model import Sample
from station.store import connection, open_book

WRITER = """
import sys, time, datetime as dt
from pathlib import Path
from station.record.model import Sample
from station.store import connection, open_book
connection._WAL_LIMIT = 50_000  # a checkpoint every few commits
path, name, seconds = Path(sys.argv[1]), sys.argv[2], float(sys.argv[3])
end, count = time.monotonic() + seconds, 0
while time.monotonic() < end:
    with open_book(path) as book:  # opening and closing is part of the load
        for _ in range(20):
            book.append_samples([Sample(dt.datetime.now(dt.UTC), count / 1e4, name)])
            count += 1
print(count)
"""
CONSOLE = """
import sys, time
from pathlib import Path
from station.store import connection, open_book
connection._WAL_LIMIT = 50_000
path, seconds = Path(sys.argv[1]), float(sys.argv[2])
end, count = time.monotonic() + seconds, 0
with open_book(path) as book:
    while time.monotonic() < end:
        cells = {"date": "2026-10-05", "session": "morning", "team": "Alder", "celsius": "12"}
        row = book.add_reading(cells, "pupils")
        book.edit_reading(row, "celsius", "13", "teacher", "card")
        count += 1
        if count % 50 == 0:
            book.frames()
print(count)
"""


def load(folder, seconds: float) -> tuple[int, int, int, float]:
    """Return values acknowledged and found, readings, and the longest wait of a commit here [s]."""
    path = folder / "class.book"
    open_book(path, create=True).close()
    others = [
        subprocess.Popen(
            [sys.executable, "-c", WRITER, str(path), "other", str(seconds)], stdout=subprocess.PIPE
        ),
        subprocess.Popen([sys.executable, "-c", CONSOLE, str(path), str(seconds)], stdout=subprocess.PIPE),
    ]
    waits, count = [], 0
    with open_book(path) as book:
        while any(other.poll() is None for other in others):
            begin = time.monotonic()
            book.append_samples([Sample(dt.datetime.now(dt.UTC), count / 1e4, "")])
            waits.append(time.monotonic() - begin)
            count += 1
            time.sleep(0.05)
        told = [int(other.communicate()[0]) for other in others]
        book.check_integrity()
        frames = book.frames()
        found = {name: frame["celsius"].nunique() for name, frame in frames.probes.items()}
        assert found == {"": count, "other": told[0]}
        assert len(frames.readings) == told[1]
        assert (frames.readings["celsius"] == 13.0).all()
        assert len(frames.table("edits")) == told[1]
    return count + told[0], sum(found.values()), told[1], max(waits)


def test_two_writers_and_readers(tmp_path, monkeypatch):
    monkeypatch.setattr(connection, "_WAL_LIMIT", 50_000)
    acknowledged, found, readings, _ = load(tmp_path, 3.0)
    assert acknowledged == found
    assert readings > 0


@pytest.mark.long
def test_two_writers_and_readers_for_minutes(tmp_path, monkeypatch):
    monkeypatch.setattr(connection, "_WAL_LIMIT", 50_000)
    acknowledged, found, readings, wait = load(tmp_path, 180.0)
    print(
        f"{acknowledged} values acknowledged, {found} found, {readings} readings;"
        f" longest wait {wait * 1e3:.0f} ms"
    )
    assert acknowledged == found
