"""Ends of spans by the record's own minutes, on records whose sun and lag are known by construction."""

import datetime as dt

import numpy as np
import pandas as pd
import pytest

from station.place.minutes import own_lag, to_the_minute
from station.record.columns import SAMPLES

START = pd.Timestamp("2026-10-12T06:00", tz="UTC")
N = 600


def record(lit: np.ndarray, excess_c: float, lag_min: float, seconds: int = 60) -> pd.DataFrame:
    """Air that warms slowly, and a probe that follows the sun with a lag, in sixteenths of a degree."""
    rng = np.random.default_rng(3)
    per = 6
    sun = np.repeat(lit * excess_c, per)
    felt = np.zeros(sun.size)
    keep = np.exp(-1 / per / lag_min)
    for i in range(1, sun.size):
        felt[i] = keep * felt[i - 1] + (1 - keep) * sun[i]
    every = seconds * per // 60
    felt = felt[::every] + 8 + 0.004 * np.arange(sun.size)[::every] / per
    felt = np.round((felt + rng.normal(0, 0.02, felt.size)) * 16) / 16
    times = pd.date_range(START, periods=felt.size, freq=f"{seconds}s").as_unit("us")
    return pd.DataFrame({"time": times, "celsius": felt}).astype(dict(SAMPLES))


def spans(*pairs: tuple[int, int], excess_c: float = 4.0) -> pd.DataFrame:
    at = [[(START + pd.Timedelta(minutes=m)).to_pydatetime() for m in pair] for pair in pairs]
    rows = [(dt.date(2026, 10, 12), a, b, 0.9, excess_c) for a, b in at]
    return pd.DataFrame(rows, columns=["date", "start", "end", "probability", "excess_c"])


def minutes(found: pd.DataFrame) -> list[tuple[int, int]]:
    return [
        tuple(round((t - START.to_pydatetime()).total_seconds() / 60) for t in row)
        for row in found[["start", "end"]].itertuples(index=False)
    ]


def lit(*pairs: tuple[int, int]) -> np.ndarray:
    mask = np.zeros(N)
    for a, b in pairs:
        mask[a:b] = 1.0
    return mask


@pytest.mark.parametrize("lag", [0.5, 1.0, 1.8])
@pytest.mark.parametrize("off", [(-2, 2), (2, -2), (2, 3)])
def test_an_end_that_lies_minutes_off_is_put_right(lag, off):
    true = [(100, 140), (220, 300), (400, 430)]
    given = spans(*[(a + off[0], b + off[1]) for a, b in true])
    found = minutes(to_the_minute(given, record(lit(*true), 4.0, lag)))
    assert np.abs(np.array(found) - np.array(true)).max() <= 1


def test_a_cloud_of_some_minutes_parts_a_span_and_one_of_a_minute_does_not():
    found = to_the_minute(spans((100, 160)), record(lit((100, 120), (126, 140), (141, 160)), 4.0, 0.4))
    assert np.abs(np.array(minutes(found)) - np.array([(100, 120), (126, 160)])).max() <= 1
    assert found["excess_c"].tolist() == [4.0, 4.0]


def test_a_hole_in_the_record_parts_no_span():
    whole = record(lit((100, 160)), 4.0, 1.0)
    found = to_the_minute(spans((100, 160)), whole.drop(index=range(120, 130)).reset_index(drop=True))
    assert len(found) == 1


def test_a_record_sparser_than_a_minute_leaves_the_spans_alone():
    given = spans((102, 158))
    pd.testing.assert_frame_equal(to_the_minute(given, record(lit((100, 160)), 4.0, 1.0, 120)), given)


def test_a_record_every_ten_seconds_is_read_by_its_minutes():
    found = minutes(to_the_minute(spans((103, 157)), record(lit((100, 160)), 4.0, 1.0, 10)))
    assert np.abs(np.array(found) - np.array([(100, 160)])).max() <= 1


def test_a_span_whose_minutes_show_no_warmth_stays_and_one_beyond_the_record_goes():
    found = to_the_minute(spans((100, 110), (700, 720)), record(lit(), 4.0, 1.0))
    assert minutes(found) == [(100, 110)]


def test_a_slow_probe_is_told_from_a_quick_one():
    ends = np.array([[a, a + 30] for a in range(40, 560, 60)])
    true = lit(*[tuple(p) for p in ends.tolist()])
    told = []
    for lag in (0.4, 1.0, 2.0):
        above = record(true, 4.0, lag)["celsius"].to_numpy() - 8 - 0.004 * np.arange(N)
        told.append(own_lag(above, ends, np.full(len(ends), 4.0)))
    assert told[0] < told[1] < told[2]
    assert 0.3 <= told[0] <= 0.9
    assert 1.1 <= told[2] <= 2.0
