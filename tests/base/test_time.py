import datetime as dt
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from station.base.time import from_local, is_skipped, second_passing, to_local, to_utc

ZONES = [
    "America/Chicago",
    "Australia/Lord_Howe",  # half an hour of summer time, southern
    "Australia/Adelaide",  # half-hour offset, southern
    "Pacific/Auckland",
    "Europe/Dublin",  # winter time is the exception there
    "Asia/Kathmandu",
    "Africa/Casablanca",  # four changes in some years
    "America/Sao_Paulo",  # clocks changed at midnight
    "Pacific/Apia",  # skipped a whole day
    "UTC",
]
EPOCH = dt.datetime(1970, 1, 1)


def micros(*texts):
    return np.array(
        [(dt.datetime.fromisoformat(text) - EPOCH) // dt.timedelta(microseconds=1) for text in texts]
    )


def iso(values):
    return [str(np.datetime64(int(value), "us").astype("M8[m]")) for value in values]


@settings(deadline=None)
@given(
    st.sampled_from(ZONES),
    st.lists(st.datetimes(dt.datetime(2005, 1, 1), dt.datetime(2030, 1, 1)), min_size=1),
)
def test_local_times_convert_as_zoneinfo_says_by_round_trip(name, clocks):
    zone = ZoneInfo(name)
    found = from_local(np.array([(c - EPOCH) // dt.timedelta(microseconds=1) for c in clocks]), zone)
    for row, clock in enumerate(clocks):
        first = clock.replace(tzinfo=zone)
        back = first.astimezone(dt.UTC).astimezone(zone).replace(tzinfo=None)
        other = first.replace(fold=1).utcoffset() != first.utcoffset()
        assert found.skipped[row] == (back != clock)
        assert found.repeated[row] == (other and back == clock)
        if not found.skipped[row]:
            utc = EPOCH + dt.timedelta(microseconds=int(found.utc[row]))
            assert utc == first.astimezone(dt.UTC).replace(tzinfo=None)
        if found.repeated[row]:
            later = first.replace(fold=1).astimezone(dt.UTC) - first.astimezone(dt.UTC)
            assert found.back[row] == later // dt.timedelta(microseconds=1)


@settings(deadline=None)
@given(st.sampled_from(ZONES), st.datetimes(dt.datetime(2005, 1, 1), dt.datetime(2030, 1, 1)))
def test_utc_converts_as_zoneinfo_says(name, clock):
    local = to_local(np.array([(clock - EPOCH) // dt.timedelta(microseconds=1)]), ZoneInfo(name))[0]
    there = clock.replace(tzinfo=dt.UTC).astimezone(ZoneInfo(name)).replace(tzinfo=None)
    assert EPOCH + dt.timedelta(microseconds=int(local)) == there


@pytest.mark.parametrize(
    ("zone", "local", "skipped", "repeated"),
    [
        ("America/Chicago", "2026-03-08 01:59", False, False),
        ("America/Chicago", "2026-03-08 02:00", True, False),
        ("America/Chicago", "2026-03-08 02:59", True, False),
        ("America/Chicago", "2026-03-08 03:00", False, False),
        ("America/Chicago", "2026-11-01 00:59", False, False),
        ("America/Chicago", "2026-11-01 01:00", False, True),
        ("America/Chicago", "2026-11-01 01:59", False, True),
        ("America/Chicago", "2026-11-01 02:00", False, False),
        ("Australia/Lord_Howe", "2026-04-05 01:29", False, False),
        ("Australia/Lord_Howe", "2026-04-05 01:30", False, True),
        ("Australia/Lord_Howe", "2026-04-05 01:59", False, True),
        ("Australia/Lord_Howe", "2026-04-05 02:00", False, False),
        ("Australia/Lord_Howe", "2026-10-04 02:00", True, False),
        ("Australia/Lord_Howe", "2026-10-04 02:29", True, False),
        ("Australia/Lord_Howe", "2026-10-04 02:30", False, False),
    ],
)
def test_edges_of_both_changes(zone, local, skipped, repeated):
    found = from_local(micros(local), ZoneInfo(zone))
    assert (bool(found.skipped[0]), bool(found.repeated[0])) == (skipped, repeated)
    clock = dt.datetime.fromisoformat(local)
    assert is_skipped(clock.date(), clock.time(), ZoneInfo(zone)) == skipped


def test_half_an_hour_goes_back_on_lord_howe():
    assert (
        from_local(micros("2026-04-05 01:45"), ZoneInfo("Australia/Lord_Howe")).back[0] == 30 * 60 * 1_000_000
    )


def test_no_time_converts_to_no_time():
    found = from_local(np.array([], dtype=np.int64), ZoneInfo("America/Chicago"))
    assert found.utc.size == found.skipped.size == found.repeated.size == 0


@pytest.mark.parametrize(
    ("rows", "clocks", "second"),
    [
        ([0, 1], ["01:00", "01:00"], [False, True]),  # hourly: the same time twice
        ([0, 1, 2, 3], ["01:00", "01:30", "01:00", "01:30"], [False, False, True, True]),
        ([0, 1, 2], ["01:10", "01:20", "01:50"], [False, False, False]),  # one passing only
        # a minute out of order is no change of clocks, the step back of almost an hour is
        ([0, 1, 2, 3], ["01:30", "01:29", "01:59", "01:01"], [False, False, False, True]),
        ([0, 1, 2, 3], ["01:10", "01:11", "01:11", "01:12"], [False] * 4),  # a row given twice
        ([0, 1, 2, 3], ["01:10", "01:12", "01:11", "01:13"], [False] * 4),  # rows out of order
        ([0, 1, 2, 3], ["01:10", "01:11", "01:40", "01:20"], [False, False, False, True]),  # with a gap
        # two logs in one file, each with both passings
        ([0, 1, 9, 10], ["01:00", "01:00", "01:00", "01:00"], [False, True, False, True]),
        ([], [], []),
    ],
)
def test_the_order_tells_the_passings_apart(rows, clocks, second):
    local = micros(*(f"2026-11-01 {clock}" for clock in clocks))
    back = np.full(len(rows), 60 * 60 * 1_000_000)
    assert second_passing(np.array(rows, dtype=np.int64), local, back).tolist() == second


def test_one_clock_time_becomes_utc():
    chicago = ZoneInfo("America/Chicago")
    assert to_utc(dt.date(2026, 10, 5), dt.time(9), chicago) == dt.datetime(2026, 10, 5, 14, tzinfo=dt.UTC)
    assert to_utc(dt.date(2026, 11, 1), dt.time(1), chicago) == dt.datetime(2026, 11, 1, 6, tzinfo=dt.UTC)
