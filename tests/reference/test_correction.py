import datetime as dt
from zoneinfo import ZoneInfo

import pandas as pd

from station.record.model import ClockShift, Probe
from station.reference.correction import corrected_c, shift_clock

ZONE = ZoneInfo("America/Chicago")


def samples(*stamps):
    time = pd.to_datetime(list(stamps), utc=True).astype("datetime64[us, UTC]")
    return pd.DataFrame({"time": time, "celsius": range(len(stamps))})


def test_a_confirmed_shift_moves_the_stamps_of_its_local_dates_only():
    # 05:30 UTC on 7 Nov is still 6 Nov in Chicago
    record = samples(
        "2026-11-02T05:59:00Z", "2026-11-02T06:00:00Z", "2026-11-07T05:30:00Z", "2026-11-07T06:30:00Z"
    )
    moved = shift_clock(record, [ClockShift(dt.date(2026, 11, 2), dt.date(2026, 11, 6), -60.0)], ZONE)
    assert moved["time"].astype(str).tolist() == [
        "2026-11-02 05:00:00+00:00", "2026-11-02 05:59:00+00:00",
        "2026-11-07 04:30:00+00:00", "2026-11-07 06:30:00+00:00",
    ]  # fmt: skip
    assert moved["celsius"].tolist() == [1, 0, 2, 3]  # put back in order of time


def test_no_shift_leaves_the_record_alone():
    record = samples("2026-11-02T05:59:00Z")
    assert shift_clock(record, [], ZONE) is record


def test_a_correction_is_added_to_the_indication():
    assert corrected_c(samples("2026-11-02T05:59:00Z"), Probe(correction_c=-0.3)).tolist() == [-0.3]
