"""Scales against fixed points."""

import json
from pathlib import Path

import pytest

from station.base import temperature as t

ITS90 = json.loads((Path(__file__).parent / "its90.json").read_text())["its90"]

#: NIST SP 811 B.8, exact by the definition of the scales
EXACT = [(-40, -40), (0, 32), (10, 50), (20, 68), (37, 98.6), (100, 212)]


@pytest.mark.parametrize(("celsius", "fahrenheit"), EXACT)
def test_exact_points_vs_sp811(celsius, fahrenheit):
    """Both ways to the last digit of a double."""
    assert t.value_f_from_c(float(celsius)) == pytest.approx(fahrenheit, rel=1e-15)
    assert t.value_c_from_f(float(fahrenheit)) == pytest.approx(celsius, rel=1e-15, abs=1e-14)
    assert t.value_c(f"{fahrenheit} degF") == pytest.approx(celsius, rel=1e-15, abs=1e-14)


@pytest.mark.parametrize("point", ITS90)
def test_fixed_points_vs_its90(point):
    """Triple points of mercury and water, melting point of gallium: to the digits printed (5e-6 degF)."""
    celsius, fahrenheit = ITS90[point]
    assert t.value_f_from_c(celsius) == pytest.approx(fahrenheit, abs=6e-6)
    assert t.value_c_from_f(fahrenheit) == pytest.approx(celsius, abs=4e-6)


def test_differences_vs_sp811():
    """1 degC of difference is 1.8 degF, whatever the point it starts from; the value 1 degC is 33.8 degF."""
    assert t.difference_f_from_c(1.0) == pytest.approx(1.8, rel=1e-15)
    assert t.difference_c("1.8 degF") == pytest.approx(1.0, rel=1e-15)
    assert t.value_f_from_c(1.0) == pytest.approx(33.8, rel=1e-15)
    assert t.value_c("1.8 degF") == pytest.approx(-16.7777777777777777, rel=1e-15)
    for start in (-30.0, 0.0, 25.0):
        assert t.value_f_from_c(start + 1.0) - t.value_f_from_c(start) == pytest.approx(1.8, abs=1e-12)
