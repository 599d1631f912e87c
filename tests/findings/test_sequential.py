import numpy as np
import pytest

from station.findings.sequential import log_e, log_e_counts, log_limit, probability


def test_false_alarms_stay_within_the_budget_at_all_looks():
    # Ville's inequality: the chance of ever exceeding 1/alpha is at most alpha
    rng = np.random.default_rng(1)
    ever = [log_e_counts((rng.random(60) < 0.4).astype(float), 0.4).max() > np.log(20) for _ in range(2000)]
    assert np.mean(ever) <= 0.05


def test_expectation_of_an_e_value_is_one_when_nothing_is_planted():
    rng = np.random.default_rng(2)
    final = [np.exp(log_e_counts((rng.random(5) < 0.4).astype(float), 0.4)[-1]) for _ in range(40_000)]
    assert np.mean(final) == pytest.approx(1.0, abs=0.1)


def test_a_converter_is_found_within_sixteen_cards():
    running = log_e_counts(np.ones(16), 0.45)
    assert running[-1] > log_limit(14, 11)
    assert running[9] < log_limit(14, 11)


def test_single_slips_are_not_a_habit():
    slips = np.zeros(60)
    slips[[10, 40]] = 1.0
    assert log_e_counts(slips, 0.005).max() < log_limit(14, 11)


def test_empty_traces():
    assert log_e(np.zeros(0), np.zeros(0)).size == 0
    assert 0.0 < probability(0.0, 0.03) < 0.04
