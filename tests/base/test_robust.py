"""Robust centres stay put when a few values do not; scores mean what they say."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from station.base import robust

centres = [robust.huber_location, robust.huber_proposal_2, robust.algorithm_a]
rows = st.lists(st.floats(-40, 40), min_size=1, max_size=40)


@pytest.mark.parametrize("centre", centres)
def test_one_slip_of_ten_or_of_a_thousand_moves_the_centre_equally_little(centre):
    clean = np.random.default_rng(3).normal(10, 0.35, 13)
    ten, thousand = (centre([*clean, 10 + slip]).location for slip in (10.0, 1000.0))
    assert ten == pytest.approx(thousand, abs=1e-6)
    assert abs(ten - clean.mean()) < 0.2


@pytest.mark.parametrize("centre", centres)
def test_normal_data_give_back_their_mean_and_spread(centre):
    found = centre(np.random.default_rng(8).normal(10, 2, 20_000))
    assert found.location == pytest.approx(10, abs=0.05)
    assert found.scale == pytest.approx(2, rel=0.03)


@pytest.mark.parametrize("centre", centres)
@given(row=rows)
def test_the_centre_lies_within_the_data(centre, row):
    found = centre(row)
    assert min(row) - 1e-9 <= found.location <= max(row) + 1e-9
    assert found.scale >= 0


@pytest.mark.parametrize("centre", centres)
def test_when_most_values_are_equal_they_are_the_centre(centre):
    assert centre([5.0, 5.0, 5.0, 5.0, 90.0]).location == 5.0


def test_huber_location_takes_a_scale_that_is_known():
    assert robust.huber_location([0.0, 0.0, 0.0, 30.0], scale=1.0).location == pytest.approx(0.5)


def test_nothing_and_nan_are_refused():
    for bad in ([], [math.nan], [[1.0]]):
        with pytest.raises(ValueError, match="finite numbers"):
            robust.algorithm_a(bad)


@given(rows)
def test_the_half_sample_mode_lies_within_the_data(row):
    assert min(row) <= robust.half_sample_mode(row) <= max(row)


def test_half_sample_mode_of_a_tie_is_the_middle():
    assert robust.half_sample_mode([1, 2, 3]) == 2.0


def test_limits_of_agreement_cover_normal_differences():
    d = np.random.default_rng(1).normal(0.3, 0.5, 4000)
    found = robust.limits_of_agreement(d)
    assert np.mean((d >= found.low) & (d <= found.high)) == pytest.approx(0.95, abs=0.01)
    assert found.bias_ci[0] < 0.3 < found.bias_ci[1]
    assert found.low_ci[0] < 0.3 - 1.96 * 0.5 < found.low_ci[1]
    with pytest.raises(ValueError, match="two differences"):
        robust.limits_of_agreement([1.0])


def test_scores():
    np.testing.assert_allclose(robust.z_score([21.0, 19.0], 20.0, 0.5), [2.0, -2.0])
    np.testing.assert_allclose(robust.zeta_score(21.0, 0.3, 20.0, 0.4), 2.0)
    np.testing.assert_allclose(robust.en_score(21.0, 0.6, 20.0, 0.8), 1.0)
