"""Forty days at one value in ten seconds, in compressed time: memory stays flat and no file handle leaks."""

from __future__ import annotations

import datetime as dt
import gc
import os
from pathlib import Path

import pytest

from station.store import open_book

pytestmark = pytest.mark.skipif(not Path("/proc/self/statm").exists(), reason="needs /proc")


def memory_mb() -> float:
    gc.collect()
    return int(Path("/proc/self/statm").read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE") / 1e6


def handles() -> int:
    return len(list(Path("/proc/self/fd").iterdir()))


def soak(world, folder, days: int) -> tuple[float, int, int]:
    """Return growth of memory after the first two days [MB], of open handles, and values recorded."""
    here = world(probe_drift=3e-5)
    marks: list[tuple[float, int]] = []
    here.at(2 * 86_400.0, lambda w: marks.append((memory_mb(), handles())))
    for day in range(days):  # a cable pulled and a clock set every day
        here.at((day + 0.4) * 86_400.0, lambda w: setattr(w, "cable", False))
        here.at((day + 0.45) * 86_400.0, lambda w: setattr(w, "cable", True))
        here.at((day + 0.7) * 86_400.0, lambda w, off=0.5 * (day % 2): setattr(w, "wall_off", off))
    here.truth = _Nothing()
    here.states = _Nothing()
    with open_book(folder / "class.book", create=True) as book:
        here.run(book, days * 24.0)
        marks.append((memory_mb(), handles()))
        book.check_integrity()
        count = book.counts()[0]
        with book._connection.read() as sql:
            live = sql.execute("SELECT min(time), count(*) FROM live").fetchone()
        assert live[1] < 4 * 8640  # older days are sealed
        assert dt.datetime.fromtimestamp(here.t - live[0] / 1e6, dt.UTC).day <= 4
    return marks[1][0] - marks[0][0], marks[1][1] - marks[0][1], count


class _Nothing(dict):
    """Takes what the world notes and keeps none of it, so that only the logger's memory shows."""

    def __setitem__(self, key, value):
        pass

    def append(self, value):
        pass


def test_three_days(world, memory_disk):
    growth, leaked, count = soak(world, memory_disk, 3)
    assert count > 20_000
    assert leaked <= 0
    assert growth < 5.0


@pytest.mark.long
def test_forty_days(world, memory_disk):
    growth, leaked, count = soak(world, memory_disk, 40)
    print(f"{count} values; memory {growth:+.1f} MB, handles {leaked:+d} from day 2 to day 40")
    assert count > 320_000
    assert leaked <= 0
    assert growth < 5.0
