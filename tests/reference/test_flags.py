"""Each check alone, and all of them together."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from station.reference import flags as f

GOOD, NOT, SUSPECT, FAIL, MISSING = 1, 2, 3, 4, 9
T0 = 1.79e9


def every(seconds, n):
    return T0 + seconds * np.arange(n)


def air(t, noise=0.03, seed=1):
    """Smooth days with a little noise: 10 +- 5 degC."""
    return (
        10 - 5 * np.cos((t - T0) / 86400 * 2 * np.pi) + np.random.default_rng(seed).normal(0, noise, t.size)
    )


def test_two_ordinary_days_are_good():
    t = every(30.0, 5760)
    flags = f.check(t, air(t))
    assert (f.combine(flags) == GOOD).mean() == 1.0
    assert tuple(flags.columns) == f.CHECKS
    assert set(flags.dtypes) == {np.dtype("uint8")}


def test_instants_become_seconds_whatever_their_unit():
    times = pd.Series(pd.to_datetime(["2026-11-01T01:30:00.25-05:00"], utc=True))
    for unit in ("ns", "us", "ms"):
        assert f.seconds(times.dt.as_unit(unit))[0] == pd.Timestamp("2026-11-01T06:30:00.25Z").timestamp()


def test_85_costs_itself_and_not_its_neighbours():
    t = every(30.0, 2000)
    x = air(t)
    x[1000:1010] = 85.0
    flags = f.check(t, x)
    combined = f.combine(flags)
    assert set(combined[1000:1010]) == {FAIL}
    assert set(np.delete(combined, np.arange(1000, 1010))) == {GOOD}
    assert set(flags["step"][1000:1010]) == {NOT}


def test_one_wild_value_is_a_spike_alone():
    t = every(30.0, 2000)
    x = air(t)
    x[700] += 6.0
    flags = f.check(t, x)
    np.testing.assert_array_equal(np.flatnonzero(f.combine(flags) == FAIL), [700])
    assert (flags["rate"] == SUSPECT).sum() == 0


def test_neighbours_beyond_a_gap_say_nothing_about_a_spike():
    t = every(3600.0, 10)
    x = np.array([10.0, 10.0, 10.0, 16.0, 10.0, 10.0, 10.0, 10.0, 10.0, 10.0])
    assert set(f.check(t, x)["spike"]) == {NOT}


def test_a_ramp_faster_than_3_degc_a_minute_shows_at_one_sample_a_second():
    t = every(1.0, 600)
    x = np.full(600, 10.0)
    x[300:] = 10 + np.minimum(0.1 * np.arange(300), 8.0)
    assert (f.rate(t, x)[330:400] == SUSPECT).any()
    assert set(f.rate(t, x)[1:330]) == {GOOD}


def test_one_resolution_step_within_a_second_is_no_rate():
    t = every(1.0, 100)
    x = np.where(np.arange(100) < 50, 10.0, 10.0625)
    assert set(f.rate(t, x)[1:]) == {GOOD}


def test_a_step_stays_suspect_for_the_hour():
    t = every(60.0, 600)
    x = np.where(np.arange(600) < 300, 10.0, 15.0) + np.random.default_rng(0).normal(0, 0.01, 600)
    flagged = np.flatnonzero(f.step(t, x) == SUSPECT)
    assert flagged[0] == 300
    assert flagged[-1] in range(359, 362)


def test_stuck_needs_the_whole_span():
    t = every(60.0, 500)
    x = np.full(500, 8.25)
    flags = f.stuck(t, x)
    assert set(flags[:56]) == {GOOD}
    assert set(flags[61:330]) == {SUSPECT}
    assert set(flags[361:]) == {FAIL}


def test_stuck_does_not_reach_over_a_gap():
    t = np.concatenate([every(60.0, 10), every(60.0, 10) + 10 * 3600])
    assert set(f.stuck(t, np.full(20, 8.25))) == {GOOD}


def test_the_sample_after_a_gap_is_suspect():
    t = np.array([0.0, 60.0, 961.0, 1021.0]) + T0
    np.testing.assert_array_equal(f.gap(t, np.zeros(4)), [GOOD, GOOD, SUSPECT, GOOD])


@pytest.mark.parametrize("n", [0, 1, 2, 3])
def test_short_records(n):
    flags = f.check(every(30.0, n), np.full(n, 10.0))
    assert len(flags) == n
    assert set(f.combine(flags)) <= {GOOD, NOT}


def test_a_record_without_a_value_is_missing():
    flags = f.check(every(30.0, 5), np.full(5, np.nan))
    assert set(f.combine(flags)) == {MISSING}


values = st.floats(-130, 130) | st.just(np.nan) | st.just(85.0)


@given(st.lists(st.tuples(st.floats(0, 5000), values), max_size=60))
def test_any_record_gets_flags_of_the_closed_set(rows):
    t = T0 + np.cumsum([dt for dt, _ in rows])
    x = np.array([v for _, v in rows])
    flags = f.check(t, x)
    assert flags.shape == (len(rows), len(f.CHECKS))
    assert set(flags.to_numpy().ravel()) <= set(map(int, f.Flag))
    np.testing.assert_array_equal((flags == MISSING).all(axis=1), np.isnan(x))


@given(st.lists(st.floats(-30, 40), min_size=2, max_size=80), st.integers(1, 200))
def test_step_finds_what_a_plain_loop_over_pairs_finds(row, minutes):
    """Every pair within the window, from the definition; samples on whole minutes, so windows are exact."""
    t, x = every(60.0 * minutes, len(row)) // 60 * 60, np.array(row)
    limits = {1: 4.0, 3: 9.0}
    expected = [
        any(
            abs(x[i] - x[j]) > limit
            for h, limit in limits.items()
            for j in range(i + 1)
            if t[i] - t[j] <= h * 3600
        )
        for i in range(len(row))
    ]
    np.testing.assert_array_equal(f.step(t, x, limits) == SUSPECT, expected)


def test_a_steady_slope_is_no_spike_however_steep():
    assert set(f.spike(np.array([0.0, 10.0, 20.0, 30.0, 40.0]))[1:-1]) == {GOOD}


def test_where_checks_differ_the_worst_flag_stands():
    names = ["a", "b", "c"]
    rows = [(1, 3, 4), (4, 3, 1), (3, 1, 2), (2, 9, 9), (1, 2, 9), (9, 9, 9)]
    flags = pd.DataFrame(rows, columns=names, dtype="uint8")
    assert f.combine(flags).tolist() == [4, 4, 3, 2, 1, 9]
