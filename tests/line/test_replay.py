from __future__ import annotations

import datetime as dt
import os
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from station.line.replay import replay

CHICAGO = ZoneInfo("America/Chicago")


def test_full_stamps_with_and_without_offset():
    found = replay(b"2026-10-05T13:00:00Z -> T: 21.5 C\r\n[2026-10-05 08:00:10] T: 21.6 C\n", CHICAGO)
    assert [(s.time.isoformat(), s.celsius) for s in found.samples] == [
        ("2026-10-05T13:00:00+00:00", 21.5), ("2026-10-05T13:00:10+00:00", 21.6)]  # fmt: skip


def test_clock_times_need_a_date_and_pass_midnight():
    capture = b"23:59:50 -> T: 1.5 C\n00:00:00 -> T: 1.4 C\n00:00:10 -> nan\n"
    assert replay(capture, CHICAGO).without_time == 3
    found = replay(capture, CHICAGO, dt.date(2026, 10, 5))
    assert [s.time.isoformat() for s in found.samples] == [
        "2026-10-06T04:59:50+00:00",
        "2026-10-06T05:00:00+00:00",
    ]
    assert [r.reason for r in found.rejected] == ["not a number"]


def test_lines_without_a_stamp_are_counted():
    found = replay(b"T: 21.5 C\n\x00\xff\n", CHICAGO, dt.date(2026, 10, 5))
    assert (found.samples, found.without_time) == ((), 2)


def test_real_capture_if_present():
    data = os.environ.get("STATION_OPEN_DATA", Path(__file__).parents[3] / "shared" / "data")
    path = Path(data) / "capture_issue198.txt"
    if not path.exists():
        pytest.skip("the open data folder is not here")
    found = replay(path.read_bytes(), CHICAGO, dt.date(2026, 10, 5))
    assert (len(found.samples), len(found.rejected), found.without_time) == (23, 4, 0)
