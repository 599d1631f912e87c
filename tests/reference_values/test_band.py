"""Accuracy bands against the table of EO 14-1."""

import json
from pathlib import Path

import pytest

from station.comparison.band import band_for
from station.record.model import Thermometer

TABLE = json.loads((Path(__file__).parent / "eo14_1.json").read_text())
CASES = [
    (liquid, span, float(division), limit)
    for liquid, name in (("spirit", "eo14_1_wetting_degC"), ("mercury", "eo14_1_nonwetting_degC"))
    for span, limits in TABLE[name].items()
    for division, limit in limits.items()
]


@pytest.mark.parametrize(("liquid", "span", "division", "limit"), CASES)
def test_every_limit_vs_eo_14_1(liquid, span, division, limit):
    """All 21 limits, in the middle of the range and at both ends save the shared -10 (see the module)."""
    low, high = (float(end) for end in span.split(".."))
    at = [low, (low + high) / 2, high if high > 0 else high - 0.001]
    for celsius in at:
        band = band_for(Thermometer(liquid=liquid, celsius_division=division), celsius)
        assert band.half_width_c == limit


def test_all_limits_of_the_table_are_asked_vs_eo_14_1():
    assert len(CASES) == 21
