import math

import numpy as np
import pandas as pd
import pytest

from station.comparison.error import (
    indication,
    scale_differences,
    two_scale_difference,
    two_scale_limit,
)
from station.record.model import Thermometer

NAN = math.nan


def test_the_indication_is_celsius_and_fahrenheit_only_where_celsius_is_missing():
    found = indication(pd.Series([10.0, NAN, NAN]), pd.Series([68.0, 50.0, NAN]))
    assert found["indication"].tolist()[:2] == [10.0, 10.0]
    assert math.isnan(found["indication"].iloc[2])
    assert found["scale_used"].tolist()[:2] == ["celsius", "fahrenheit"]
    assert found["scale_used"].isna().tolist() == [False, False, True]


def test_two_scales_of_one_column_agree():
    r = two_scale_difference(pd.Series([-40.0, 0.0, 37.0, 10.0]), pd.Series([-40.0, 32.0, 98.6, 60.0]))
    assert r.to_numpy() == pytest.approx([0, 0, 0, 10 - 28 / 1.8], abs=1e-9)


def test_the_limit_follows_the_marks_vs_simulated_limits():
    # Simulated limits for marks of 1 degC: about 1.4 with Fahrenheit marks of 1, 1.6 with marks of 2
    # (plan of this project, own simulation); the formula from the marks agrees within 0.05.
    assert two_scale_limit(Thermometer(fahrenheit_division=1.0)) == pytest.approx(1.4, abs=0.05)
    assert two_scale_limit(Thermometer(fahrenheit_division=2.0)) == pytest.approx(1.6, abs=0.05)


def test_a_careful_reading_stays_within_the_limit():
    rng = np.random.default_rng(3)
    column = rng.uniform(-5, 25, 20_000)
    c = np.round(column + rng.normal(0, 0.35, column.size))
    f = 2 * np.round((column * 1.8 + 32 + 1.8 * rng.normal(0, 0.35, column.size)) / 2)
    beyond = np.abs(c - (f - 32) / 1.8) > two_scale_limit(Thermometer())
    assert 0.002 < beyond.mean() < 0.03


def test_a_slipped_plate_needs_uses_and_a_median_far_from_zero():
    numbers = pd.Series(["11"] * 4 + ["3"] * 4 + ["9"] * 3 + [""])
    found = scale_differences(
        numbers, pd.Series([2.2, 2.2, 2.3, -9.0, 0.1, 8.0, 0.0, -0.2, 5.0, 5.0, 5.0, 7.0])
    )
    assert found.loc["11", "slipped"]
    assert not found.loc["3", "slipped"]  # one misread entry moves no median
    assert not found.loc["9", "slipped"]  # three uses are too few
    assert "" not in found.index


def test_a_plate_is_slipped_only_beyond_three_standard_errors():
    # of a median of 4: 0.3 + 3 x 1.25 x 0.6 / 2 = 1.43 degC; of 100: 0.53 degC
    for uses, within, beyond in ((4, 1.4, 1.45), (100, 0.5, 0.55)):
        numbers = pd.Series(["1"] * uses + ["2"] * uses)
        found = scale_differences(numbers, pd.Series([within] * uses + [-beyond] * uses))
        assert found["slipped"].tolist() == [False, True]
