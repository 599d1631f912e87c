import pandas as pd
import pytest

from station.comparison.class_value import by_rule


def rule(*values, division=1.0, rule="most common"):
    found = by_rule(pd.Series(values, dtype="float64"), rule, division)
    return found.value, found.note


@pytest.mark.parametrize(
    ("values", "value", "note"),
    [
        ((8, 8, 8, 9, 9, 7), 8, None),
        ((8, 8, 9, 9, 9.5, 10), 9, None),  # neighbours tied: the one nearer the median
        ((7, 7, 8, 8, 6, 9), 7, None),  # as near: the lower one
        ((7, 7, 9, 9, 8, 6), None, "no_agreement"),  # tied, but not neighbours
        ((1, 2, 3, 4, 5, 6), None, "no_agreement"),  # nothing has a third
        ((8, 8, 9, 10, 11, 12), 8, None),  # exactly a third
        ((7, 7, 8, 8, 9, 9), None, "no_agreement"),  # three in a row tie
        ((8, 8, 8, 8, 8), None, "few_readings"),
        ((), None, "few_readings"),
    ],
)
def test_most_common_and_its_ties(values, value, note):
    assert rule(*values) == (value, note)


def test_neighbours_are_one_mark_of_the_scale_apart():
    assert rule(50, 50, 52, 52, 54, 54.5, division=2.0) == (52, None)


def test_median_and_mean_stand_beside_it_even_without_agreement():
    found = by_rule(pd.Series([1.0, 2.0, 3.0, 4.0, 5.0, 30.0]), "most common", 1.0)
    assert (found.median, found.mean, found.rows) == (3.5, 7.5, 6)


@pytest.mark.parametrize(("named", "value"), [("median", 3.5), ("mean", 7.5)])
def test_a_class_may_take_the_median_or_the_mean(named, value):
    assert rule(1, 2, 3, 4, 5, 30, rule=named) == (value, None)
    assert rule(1, 2, 3, 4, 5, rule=named) == (None, "few_readings")
