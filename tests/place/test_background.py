"""How clear a day was, by its range, the height of its noon, and the clearest day of the record."""

import datetime as dt
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from station.place.background import clear_days
from station.place.days import bare
from station.record.model import Site

SITE = Site(ZoneInfo("America/Chicago"), "place", 44.3, -91.4, 220.0)


def chances(month: int, ranges: list[float]) -> np.ndarray:
    """Chances of days without a recorded night, so by school hours' ranges."""
    days = bare(dt.date(2026, month, 1), dt.date(2026, month, len(ranges)), SITE, 2)
    return clear_days(days, np.array(ranges))


def test_the_more_a_day_warms_the_clearer_it_was():
    found = chances(10, [1.0, 3.0, 6.0, 9.0])
    assert (np.diff(found) > 0).all()
    assert found[0] < 0.2
    assert found[-1] > 0.7


def test_the_same_range_means_more_under_a_low_sun():
    assert chances(12, [5.0, 7.0])[0] > chances(6, [5.0, 7.0])[0] + 0.1
    # the same beside a day that is clear in either season
    assert chances(12, [5.0, 14.0])[0] > chances(6, [5.0, 14.0])[0] + 0.1


def test_a_record_of_dull_days_alone_is_not_called_clear():
    assert chances(10, [1.5, 1.6, 1.4]).max() < 0.3


def test_a_day_whose_range_is_not_known_is_left_open():
    assert chances(10, [np.nan, 6.0])[0] == pytest.approx(0.4)
