import datetime as dt

import numpy as np
import pandas as pd
import pytest

from station.record.model import Probe
from station.reference.value import LONGEST_GAP_S, PLACE_HALF_WIDTH_C, Doubt, ProbeSeries, shared_lines

START = dt.datetime(2026, 10, 5, 14, 0, tzinfo=dt.UTC)


def series(seconds, celsius):
    time = pd.to_datetime(START.timestamp() + np.asarray(seconds, dtype=float), unit="s", utc=True)
    samples = pd.DataFrame({"time": time.astype("datetime64[us, UTC]"), "celsius": celsius})
    return ProbeSeries.of(samples, samples["celsius"], Probe())


def lines(reference):
    return {c.name: c.contribution for c in reference.budget.components}


def test_a_straight_rise_gives_its_middle_and_a_timing_line():
    seconds = np.arange(-60, 1000, 30)
    found = series(seconds, 10 + seconds / 3600.0).reference(START, 15)
    assert found.value_c == pytest.approx(10 + 450 / 3600)
    # 1 degC/h, the moment somewhere in 15 min (rectangular) and the probe's own lag of 60 s
    assert lines(found)["timing"] == pytest.approx(np.hypot(7.5 / 3**0.5, 1.0) / 60.0, rel=1e-6)
    assert lines(found)["window scatter"] == pytest.approx(0.0, abs=1e-9)


def test_the_mean_is_over_time_and_not_over_samples():
    # ten minutes at 10, then a rise to 15 in five minutes that is sampled six times as often
    early, late = np.arange(0, 601, 60), np.arange(610, 901, 10)
    seconds = np.concatenate((early, late))
    found = series(seconds, np.where(seconds <= 600, 10.0, 10 + (seconds - 600) / 60)).reference(START, 15)
    assert found.value_c == pytest.approx(10 + 2.5 * 300 / 900, abs=1e-9)


def test_a_span_between_samples_takes_its_part_of_the_line():
    found = series([-300, 300, 900], [10.0, 16.0, 10.0]).reference(START, 10)
    assert found.value_c == pytest.approx((13.0 + 16.0) / 2 / 2 + (16.0 + 13.0) / 2 / 2)


def test_the_budget_shows_each_line_and_adds_up():
    found = series(np.arange(-60, 1000, 30), np.full(36, 8.0)).reference(START, 15)
    got = lines(found)
    assert set(got) == {"probe limits", "place", "resolution", "window scatter", "timing", "moment"}
    assert got["probe limits"] == pytest.approx(0.5 / 3**0.5)
    assert got["place"] == pytest.approx(PLACE_HALF_WIDTH_C / 3**0.5)
    assert got["resolution"] == pytest.approx(0.0625 / 12**0.5)
    assert found.u_c == pytest.approx(sum(v**2 for v in got.values()) ** 0.5)
    assert found.expanded_c == pytest.approx(1.96 * found.u_c, rel=1e-3)


def test_a_checked_probe_has_its_correction_instead_of_the_maker_s_limits():
    names = [c.name for c in shared_lines(Probe(u_correction_c=0.1))]
    assert names == ["correction", "place"]


@pytest.mark.parametrize(
    ("seconds", "carries"),
    [
        ([-400, 400, 1000], True),
        ([-400, LONGEST_GAP_S - 400, 1000], True),
        ([-400, LONGEST_GAP_S - 399, 1000], False),
        ([0, 450], False),  # ends before the session does
        ([300, 600, 900], False),  # starts after it
        ([], False),
        ([450], False),
    ],
)
def test_no_line_is_drawn_across_a_gap(seconds, carries):
    found = series(seconds, np.full(len(seconds), 9.0)).reference(START, 15)
    assert (found is not None) is carries


def test_correlated_scatter_counts_for_more_than_white_scatter():
    rng = np.random.default_rng(0)
    white = rng.normal(0, 0.2, 200)
    red = np.zeros(200)
    for i in range(1, 200):
        red[i] = 0.9 * red[i - 1] + white[i] * (1 - 0.81) ** 0.5
    seconds = np.arange(200) * 5.0 - 30
    a = lines(series(seconds, 10 + white).reference(START, 15))["window scatter"]
    b = lines(series(seconds, 10 + red).reference(START, 15))["window scatter"]
    assert b > 2 * a  # 4.4 times for an endless series with this correlation


def test_a_reading_with_its_own_time_has_no_moment_line():
    found = series(np.arange(-60, 1000, 30), np.full(36, 8.0)).reference(START, 5, own_time=True)
    assert "moment" not in lines(found)


def test_the_moment_line_is_the_spread_about_the_trend():
    seconds = np.arange(1, 900, 30)
    wander = np.tile([0.3, -0.3], 15)
    got = lines(series([0, *seconds, 900], [8, *(8 + wander), 8]).reference(START, 15))
    x = seconds - seconds.mean()
    rest = wander - x * (x @ wander) / (x @ x)
    assert got["moment"] == pytest.approx((rest @ rest / (30 - 2)) ** 0.5)


def test_a_doubt_that_touches_the_span_widens_it_and_is_named():
    doubt = Doubt("step", START + dt.timedelta(minutes=14), START + dt.timedelta(hours=1), 1.0)
    record = series(np.arange(-60, 3000, 30), np.full(102, 8.0))
    found = record.reference(START, 15, doubts=[doubt])
    assert found.doubts == ("step",)
    assert found.u_c > 1.0
    assert record.reference(START - dt.timedelta(seconds=30), 10, doubts=[doubt]).doubts == ()
    over = Doubt("step", START - dt.timedelta(hours=1), START, 1.0)
    assert record.reference(START, 15, doubts=[over]).doubts == ()
    twice = record.reference(START, 15, doubts=[doubt, doubt])
    assert twice.doubts == ("step",)
