from __future__ import annotations

import datetime as dt

from station.line import restraint as module
from station.line.restraint import Restraint
from station.record.model import RejectedLine

START = dt.datetime(2026, 10, 5, 12, tzinfo=dt.UTC)


def test_a_flood_is_kept_once_a_minute_and_counted_and_a_new_day_begins_anew(monkeypatch):
    monkeypatch.setattr(module, "WHOLE_A_DAY", 10)
    restraint, kept = Restraint(), []
    times = [START + dt.timedelta(seconds=i) for i in range(180)]
    for time in times:
        kept += restraint.take("unreadable", RejectedLine(time, "x", "noise"))
    whole = [line for line in kept if line.line]
    assert [line.time for line in whole] == [*times[:10], times[60], times[120]]
    told = [int(line.reason.split()[0]) for line in kept if not line.line]
    assert told == [50, 59]
    assert restraint.take("fault", RejectedLine(times[-1], "nan", "not a number"))[0].line == "nan"
    tomorrow = RejectedLine(START + dt.timedelta(days=1), "y", "noise")
    assert [line.line for line in restraint.take("unreadable", tomorrow)] == ["", "y"]
