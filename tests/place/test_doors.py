"""Sun or door: by length, by the days on which it shows, and by how warm a door could make it."""

import datetime as dt
from dataclasses import replace
from zoneinfo import ZoneInfo

import numpy as np

from station.place.days import bare
from station.place.doors import door_log_odds
from station.place.windows import Window
from station.record.model import School, Site

SITE = Site(ZoneInfo("America/Chicago"), "place", 44.3, -91.4, 220.0)
FIRST = 300
SPAN = np.full(14, 8.0)


def odds(minutes: int, shown: list[int], air_c: float, warm_c: float) -> float:
    """Log odds of a door for a window of two weeks from Monday 5 Oct that shows on some days."""
    days = bare(dt.date(2026, 10, 5), dt.date(2026, 10, 18), SITE, 2)
    cells = minutes // 2
    celsius = np.full(days.celsius.shape, air_c)
    lit = np.zeros((14, 200))
    for row in shown:
        celsius[row, FIRST + 60 : FIRST + 60 + cells] += warm_c
        lit[row, 60 : 60 + cells] = 1.0
    window = Window(dict.fromkeys(range(14), (60, 60 + cells)))
    level = np.full(lit.shape, warm_c)
    return door_log_odds(
        window, lit, SPAN, replace(days, celsius=celsius), FIRST, School(), SITE, level, 20.5
    )


SCHOOL_DAYS = [0, 1, 2, 3, 4, 7, 8, 9, 10, 11]
EVERY_THIRD = [0, 3, 5, 6, 9, 12, 13]


def test_what_shows_on_school_days_alone_is_a_door_and_what_shows_on_weekends_is_not():
    assert odds(12, SCHOOL_DAYS, 6.0, 2.5) > 1.5
    assert odds(12, EVERY_THIRD, 6.0, 2.5) < 0
    assert odds(12, SCHOOL_DAYS, 6.0, 2.5) > odds(60, SCHOOL_DAYS, 6.0, 2.5)


def test_no_door_warms_a_probe_beyond_half_of_the_way_to_the_room():
    assert odds(12, SCHOOL_DAYS, 16.0, 4.0) < odds(12, SCHOOL_DAYS, 6.0, 4.0) - 4
    assert odds(12, SCHOOL_DAYS, 24.0, 2.5) < 0
