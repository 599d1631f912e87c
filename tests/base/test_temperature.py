"""Values and differences never pass for each other."""

import subprocess
import sys

import numpy as np
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from station.base import temperature as t
from station.base.exceptions import BadEntry

Q = pint.get_application_registry().Quantity
finite = st.floats(-200, 1000)


@pytest.mark.parametrize(
    ("stated", "expected"),
    [
        (20.5, 20.5),
        (7, 7.0),
        (np.float64(3.25), 3.25),
        ("20.5", 20.5),
        (" 20,5 °C ", 20.5),
        ("68 degF", 20.0),
        ("68F", 20.0),
        ("−4 °F", -20.0),
        ("293.15 K", 20.0),
        ("2e1 celsius", 20.0),
        (Q(68, "degF"), 20.0),
        (Q(20, "degC"), 20.0),
        (Q(293.15, "kelvin"), 20.0),
    ],
)
def test_a_stated_value(stated, expected):
    assert t.value_c(stated) == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize(
    ("stated", "expected"),
    [
        (0.5, 0.5),
        ("0.9 degF", 0.5),
        ("0.9 delta_degF", 0.5),
        ("0,5 °C", 0.5),
        ("0.5 K", 0.5),
        (Q(0.9, "delta_degF"), 0.5),
        (Q(0.5, "delta_degC"), 0.5),
        (Q(500, "millikelvin"), 0.5),
    ],
)
def test_a_stated_difference(stated, expected):
    assert t.difference_c(stated) == pytest.approx(expected, abs=1e-12)


def test_pint_compares_a_difference_with_a_value_without_complaint():
    """The trap that the two functions exist for; when pint closes it, this test says so."""
    assert bool(Q(5, "delta_degC") <= Q(1, "degC")) is True


def test_a_band_stated_as_a_value_is_refused_so_an_error_of_5_cannot_pass_a_band_of_1():
    with pytest.raises(BadEntry, match="where a temperature difference is meant"):
        t.difference_c(Q(1, "degC"))
    assert not t.difference_c(Q(5, "delta_degC")) <= t.difference_c(Q(1, "delta_degC"))


@pytest.mark.parametrize("stated", [Q(5, "delta_degC"), Q(9, "delta_degF"), "5 delta_degC"])
def test_a_difference_is_refused_where_a_value_is_meant(stated):
    with pytest.raises(BadEntry, match="where a temperature is meant"):
        t.value_c(stated)


@pytest.mark.parametrize("stated", [Q(1, "degC"), Q(68, "degF")])
def test_a_value_is_refused_where_a_difference_is_meant(stated):
    with pytest.raises(BadEntry, match="where a temperature difference is meant"):
        t.difference_c(stated)


@pytest.mark.parametrize(
    "stated",
    [
        Q(1, "metre"),
        Q([1, 2], "degC"),
        "warm",
        "",
        "20 m",
        "20 degX",
        "1 2",
        True,
        None,
        float("nan"),
        "1e999",
        (),
    ],
)
@pytest.mark.parametrize("function", [t.value_c, t.difference_c])
def test_what_is_no_temperature_is_one_plain_refusal(function, stated):
    with pytest.raises(BadEntry):
        function(stated)


@pytest.mark.parametrize("stated", [-300, "-500 degF", "-1 K", Q(-1, "kelvin")])
def test_nothing_is_below_absolute_zero(stated):
    with pytest.raises(BadEntry, match="absolute zero"):
        t.value_c(stated)


@given(finite)
def test_scales_round_trip(x):
    assert t.value_c_from_f(t.value_f_from_c(x)) == pytest.approx(x, abs=1e-9)
    assert t.value_c_from_k(t.value_k_from_c(x)) == pytest.approx(x, abs=1e-9)
    assert t.difference_c_from_f(t.difference_f_from_c(x)) == pytest.approx(x, abs=1e-9)


@given(finite, finite)
def test_a_difference_of_values_is_the_difference_converted(a, b):
    assert t.value_c_from_f(a) - t.value_c_from_f(b) == pytest.approx(t.difference_c_from_f(a - b), abs=1e-9)


def test_arrays_keep_their_shape():
    x = np.array([[-40.0, 0.0], [37.0, np.nan]])
    np.testing.assert_allclose(t.value_f_from_c(x), [[-40.0, 32.0], [98.6, np.nan]], rtol=1e-15)
    np.testing.assert_allclose(t.difference_f_from_c(x), 1.8 * x, rtol=1e-15)


def test_pint_is_not_imported_until_a_quantity_comes():
    code = "import sys, station.base.temperature as t; t.value_c('68 degF'); sys.exit('pint' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
