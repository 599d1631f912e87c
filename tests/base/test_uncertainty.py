"""Budgets, means of correlated samples, lines, conformance."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from station.base.uncertainty import (
    Budget,
    Component,
    coverage_factor,
    fit_line,
    p_inside,
    rectangular,
    series_mean,
    triangular,
)


def test_half_widths_become_standard_uncertainties():
    assert rectangular("limits", 0.5).u == pytest.approx(0.5 / 3**0.5)
    assert triangular("limits", 0.5).u == pytest.approx(0.5 / 6**0.5)
    # reading to half a division, and to a whole one: 0.144 d and 0.289 d (GUM 4.3.7)
    assert rectangular("half a division", 0.25).u == pytest.approx(0.144, abs=5e-4)
    assert rectangular("a division", 0.5).u == pytest.approx(0.289, abs=5e-4)


def test_lines_show_everything_and_their_shares_add_up():
    budget = Budget((rectangular("probe", 0.5, source="maker"), Component("slope", 0.1, 4, sensitivity=-3.0)))
    first, second = budget.lines()
    assert (first.name, first.source, first.shape) == ("probe", "maker", "rectangular")
    assert second.contribution == pytest.approx(0.3)
    assert first.share + second.share == pytest.approx(1.0)
    assert budget.u == pytest.approx(math.sqrt(0.25 / 3 + 0.09))
    assert budget.expanded() == pytest.approx(budget.coverage_factor() * budget.u)


def test_a_line_with_known_scatter_leaves_the_normal_coverage_factor():
    assert Budget((rectangular("probe", 0.5),)).dof == math.inf
    assert coverage_factor(math.inf) == pytest.approx(1.959964, abs=1e-6)
    assert coverage_factor(1e9) == pytest.approx(coverage_factor(math.inf), abs=1e-6)


def test_nothing_uncertain_is_no_division_by_zero():
    budget = Budget((Component("exact", 0.0),))
    assert (budget.u, budget.dof, budget.lines()[0].share) == (0.0, math.inf, 0.0)


@pytest.mark.parametrize(
    "bad", [{"u": -1.0}, {"u": math.nan}, {"u": 1.0, "dof": 0.0}, {"u": 1.0, "sensitivity": math.inf}]
)
def test_a_line_that_would_spoil_the_sum_is_refused(bad):
    with pytest.raises(ValueError, match="budget line"):
        Component("line", **bad)


@pytest.mark.parametrize("coverage", [0.0, 1.0, 95.0])
def test_coverage_is_a_probability(coverage):
    with pytest.raises(ValueError, match="between 0 and 1"):
        coverage_factor(10, coverage)


@given(st.lists(st.tuples(st.floats(1e-6, 1e3), st.floats(1, 1e3)), min_size=1, max_size=6))
def test_effective_dof_lie_between_the_smallest_and_the_sum(lines):
    budget = Budget(tuple(Component("x", u, dof) for u, dof in lines))
    dofs = [dof for _, dof in lines]
    assert min(dofs) * (1 - 1e-9) <= budget.dof <= sum(dofs) * (1 + 1e-9)


def _autoregressive(rng, r, n):
    noise = rng.normal(size=n)
    series = np.empty(n)
    series[0] = noise[0] / math.sqrt(1 - r * r)
    for i in range(1, n):
        series[i] = r * series[i - 1] + noise[i]
    return series


@pytest.mark.parametrize(("r", "at_least"), [(0.0, 0.93), (0.5, 0.92), (0.8, 0.90)])
def test_the_interval_of_a_mean_covers_the_truth_for_correlated_samples(r, at_least):
    """Thirty samples, 800 series: measured 0.96, 0.94, 0.93; plain s/sqrt(n) gives 0.74 and 0.48 last."""
    rng = np.random.default_rng(5)
    hits = plain = 0
    for _ in range(800):
        series = _autoregressive(rng, r, 30)
        m = series_mean(series)
        hits += abs(m.mean) <= coverage_factor(m.dof) * m.u
        plain += abs(m.mean) <= coverage_factor(29) * m.sd / math.sqrt(30)
    assert hits / 800 >= at_least
    if r:
        assert plain / 800 < at_least - 0.05


def test_few_samples_say_how_little_they_know():
    assert math.isnan(series_mean([4.0]).u)
    two = series_mean([4.0, 5.0])
    assert (two.n_effective, two.u) == (1.0, two.sd)
    assert series_mean([4.0, 5.0, 4.0]).n_effective == 1.0
    assert series_mean([4.0] * 9).u == 0.0
    for bad in ([], [1.0, math.nan]):
        with pytest.raises(ValueError, match="finite samples"):
            series_mean(bad)


def test_a_trend_counts_as_few_samples():
    trend = series_mean(np.linspace(0, 1, 30))
    assert trend.n_effective < 3


@given(st.lists(st.floats(-50, 50), min_size=2, max_size=60))
def test_a_mean_is_never_surer_than_independent_samples(samples):
    m = series_mean(samples)
    assert 1.0 <= m.n_effective <= m.n
    assert m.u >= m.sd / math.sqrt(m.n) * (1 - 1e-9)


def test_a_line_through_exact_points():
    line = fit_line([0, 1, 2, 3], [1, 3, 5, 7], x0=1.0)
    assert (line.intercept, line.slope) == pytest.approx((3.0, 2.0))
    assert line.at(10.0) == pytest.approx((21.0, 0.0), abs=1e-12)


@pytest.mark.parametrize(("x", "y"), [([1, 2], [1, 2]), ([1, 1, 1], [1, 2, 3]), ([1, 2, 3], [1, 2])])
def test_too_little_for_a_line(x, y):
    with pytest.raises(ValueError, match="line"):
        fit_line(x, y)


def test_conformance_probability_at_its_edges():
    np.testing.assert_array_equal(p_inside([0.0, 1.0, 1.1, math.nan], 0.0, -1.0, 1.0), [1, 1, 0, math.nan])
    assert p_inside(1.0, 0.2, -1.0, 1.0) == pytest.approx(0.5, abs=1e-6)  # simple acceptance at the limit
    assert p_inside(0.0, 1e9, -1.0, 1.0) == pytest.approx(0.0, abs=1e-6)
    assert p_inside(0.0, 1.0, -math.inf, math.inf, 3.0) == 1.0


def test_conformance_with_few_degrees_of_freedom_is_less_sure():
    p = p_inside(0.0, 0.5, -1.0, 1.0, [2.0, 10.0, 1e9, math.inf])
    assert (np.diff(p) > -1e-9).all()
    assert p[2] == pytest.approx(p[3], abs=1e-6)
    # t with one degree of freedom is Cauchy: P(|x| <= 2) = 2 atan(2)/pi
    assert p_inside(0.0, 0.5, -1.0, 1.0, 1.0) == pytest.approx(2 * math.atan(2) / math.pi, abs=1e-12)
