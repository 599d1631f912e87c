"""Which band applies, and that it says why."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from station.base.exceptions import BadEntry
from station.comparison.band import KEYS, STATED, band_for, half_widths_c
from station.record.model import Thermometer


def test_a_band_the_teacher_states_comes_first():
    band = band_for(Thermometer(accuracy_c=0.7, band="wide"), 10.0)
    assert (band.half_width_c, band.key) == (0.7, STATED)
    assert "teacher" in band.basis


def test_without_a_choice_the_table_is_entered_by_liquid_division_and_range():
    band = band_for(Thermometer(liquid="spirit", celsius_division=2.0), -12.0)
    assert (band.half_width_c, band.key) == (4.0, "eo14-1")
    assert "EO 14-1" in band.basis
    assert "-110 to -10" in band.basis


@pytest.mark.parametrize(("division", "expected"), [(2.0, 3.0), (1.0, 2.0)])
def test_exactly_minus_ten_belongs_to_the_warmer_range(division, expected):
    band = band_for(Thermometer(celsius_division=division), -10.0)
    assert band.half_width_c == expected
    assert "-10 to 110" in band.basis


def test_mercury_at_exactly_minus_ten_takes_the_narrower_limit():
    assert band_for(Thermometer(liquid="Mercury", celsius_division=0.1), -10.0).half_width_c == 0.2


@pytest.mark.parametrize(
    ("key", "one", "two"), [("close", 0.5, 1.0), ("usual", 1.0, 2.0), ("wide", 2.0, 4.0)]
)
def test_common_practice_is_a_degree_or_a_division(key, one, two):
    for division, expected in ((0.5, one), (1.0, one), (2.0, two)):
        band = band_for(Thermometer(band=key, celsius_division=division), 10.0)
        assert (band.half_width_c, band.key) == (expected, key)
        assert band.basis.startswith("common practice")


def test_a_key_may_name_the_liquid():
    assert band_for(Thermometer(liquid="blue", band="eo14-1 spirit"), 5.0).half_width_c == 2.0
    assert band_for(Thermometer(band="eo14-1 mercury"), 5.0).half_width_c == 1.0


def test_a_division_between_those_listed_takes_the_next_coarser_and_says_so():
    band = band_for(Thermometer(celsius_division=0.2), 5.0)
    assert band.half_width_c == 1.0
    assert "0.2 °C is not listed" in band.basis


@pytest.mark.parametrize(
    ("thermometer", "celsius"),
    [
        (Thermometer(liquid="galinstan"), 10.0),
        (Thermometer(celsius_division=10.0), 10.0),
        (Thermometer(), 110.5),
        (Thermometer(liquid="mercury"), -60.0),
        (Thermometer(accuracy_c=1.0), float("nan")),
    ],
)
def test_no_band_where_no_table_covers_it(thermometer, celsius):
    assert band_for(thermometer, celsius) is None


def test_an_unknown_key_is_refused_with_the_known_ones():
    with pytest.raises(BadEntry, match="close, usual, wide"):
        band_for(Thermometer(band="perfect"), 10.0)


@given(
    st.sampled_from([None, *KEYS]),
    st.sampled_from(["spirit", "mercury", "oil"]),
    st.sampled_from([0.1, 0.5, 1.0, 2.0, 7.0]),
    st.lists(st.floats(-130, 130) | st.just(-10.0) | st.just(110.0), min_size=1, max_size=20),
)
def test_arrays_and_single_values_agree(key, liquid, division, values):
    thermometer = Thermometer(band=key, liquid=liquid, celsius_division=division)
    widths = half_widths_c(thermometer, np.array(values))
    for value, width in zip(values, widths, strict=True):
        band = band_for(thermometer, value)
        assert (np.isnan(width) and band is None) or band.half_width_c == width
