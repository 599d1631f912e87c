"""Sun or door: by length, by the days on which it shows, and by how warm a door could make it."""

import datetime as dt
from zoneinfo import ZoneInfo

import numpy as np

from station.place.days import bare, school_days
from station.place.doors import by_the_clock, door_log_odds
from station.record.model import School, Site

SITE = Site(ZoneInfo("America/Chicago"), "place", 44.3, -91.4, 220.0)
STEP, DAYS, FROM = 2, 14, 60
SCHOOL_DAYS = [0, 1, 2, 3, 4, 7, 8, 9, 10, 11]
EVERY_THIRD = [0, 3, 5, 6, 9, 12, 13]
INDOOR_C = 20.5


def odds(
    minutes: int,
    shown: list[int],
    air_c: object,
    warm_c: object,
    pause: int = 0,
    sky: object = 0.5,
    clock: float = 0.0,
) -> float:
    """Log odds of a door for a window of two weeks from Monday 5 Oct that shows on some days.

    ``pause``: every so many columns one is unlit; ``sky``: chance of sun by day; ``clock``: log odds that the
    window opens by it.
    """
    days = bare(dt.date(2026, 10, 5), dt.date(2026, 10, 18), SITE, STEP)
    width = minutes // STEP
    air, warm = (np.broadcast_to(x, DAYS).astype(float) for x in (air_c, warm_c))
    celsius = np.repeat(air[:, None], 200, axis=1)
    lit = np.zeros((DAYS, 200))
    for row in shown:
        celsius[row, FROM : FROM + width] += warm[row]
        lit[row, FROM : FROM + width] = 1.0
        if pause:
            lit[row, FROM + pause : FROM + width : pause] = 0.0
    out = np.full(lit.shape, 0.5)  # beside the window it says nothing
    out[:, FROM : FROM + width] = np.broadcast_to(sky, DAYS)[:, None]
    return door_log_odds(
        float(minutes), np.arange(DAYS), np.tile([FROM, FROM + width], (DAYS, 1)), lit,
        np.repeat(warm[:, None], 200, axis=1), celsius, out,
        school_days(days, SITE, School()), clock, INDOOR_C, STEP,
    )  # fmt: skip


def test_what_shows_on_school_days_alone_is_a_door_and_what_shows_on_weekends_is_not():
    assert odds(12, SCHOOL_DAYS, 6.0, 2.5) > 1.5
    assert odds(24, EVERY_THIRD, 6.0, 2.5) < -1
    assert odds(24, EVERY_THIRD, 6.0, 2.5) < odds(24, SCHOOL_DAYS, 6.0, 2.5) - 2


def test_what_keeps_to_clear_days_is_rather_the_sun_s():
    clear = np.full(DAYS, 0.1)
    clear[EVERY_THIRD] = 0.9
    assert odds(24, EVERY_THIRD, 6.0, 2.5, sky=clear) < odds(24, EVERY_THIRD, 6.0, 2.5) - 0.5
    assert odds(24, EVERY_THIRD, 6.0, 2.5, sky=1 - clear) > odds(24, EVERY_THIRD, 6.0, 2.5) + 0.5


def test_what_opens_by_the_clock_is_rather_a_door_as_far_as_the_clock_is_heard():
    even, bell, sun = (odds(24, EVERY_THIRD, 6.0, 2.5, clock=told) for told in (0.0, 1.5, -4.0))
    assert bell > even + 1
    assert sun < even - 2.5
    assert odds(24, EVERY_THIRD, 6.0, 2.5, clock=50.0) < even + 2
    assert odds(24, EVERY_THIRD, 6.0, 2.5, clock=-50.0) > even - 5


def test_the_longer_the_less_a_door():
    assert odds(60, SCHOOL_DAYS, 6.0, 2.5) < odds(12, SCHOOL_DAYS, 6.0, 2.5) - 2.5


def test_warmth_beyond_a_school_break_is_the_less_a_door_s():
    short, longer, longest = (odds(minutes, SCHOOL_DAYS, 6.0, 2.5) for minutes in (10, 20, 40))
    assert longest < longer + 1.7 * (longer - short)


def test_a_long_window_of_short_stretches_is_rather_a_door_than_an_unbroken_one():
    assert odds(60, SCHOOL_DAYS, 6.0, 2.5, pause=6) > odds(60, SCHOOL_DAYS, 6.0, 2.5) + 1


def test_a_door_s_warmth_grows_as_the_air_cools_and_the_sun_s_does_not():
    air = np.linspace(-4.0, 14.0, DAYS)
    follows = odds(20, SCHOOL_DAYS, air, 0.15 * (INDOOR_C - air))
    stays = odds(20, SCHOOL_DAYS, air, 2.2)
    even = odds(20, SCHOOL_DAYS, 6.0, 2.2)
    assert follows > even + 0.5
    assert stays < even - 0.5


def test_no_door_warms_a_probe_beyond_half_of_the_way_to_the_room():
    assert odds(12, SCHOOL_DAYS, 16.0, 4.0) < odds(12, SCHOOL_DAYS, 6.0, 4.0) - 4
    assert odds(20, SCHOOL_DAYS, 24.0, 2.5) < -0.5


def test_a_day_of_which_half_is_missing_says_nothing():
    celsius = np.full((DAYS, 200), 6.0)
    celsius[:, FROM : FROM + 6] = np.nan
    args = (
        np.zeros((DAYS, 200)),
        np.zeros((DAYS, 200)),
        celsius,
        np.full(celsius.shape, 0.5),
        np.ones(DAYS, bool),
    )
    rows, edges = np.arange(DAYS), np.tile([FROM, FROM + 12], (DAYS, 1))
    none = np.array([], np.intp)
    nothing = (none, none.reshape(0, 2), *args, 0.0, INDOOR_C, STEP)
    assert door_log_odds(24.0, rows, edges, *args, 0.0, INDOOR_C, STEP) == door_log_odds(24.0, *nothing)
    assert door_log_odds(60.0, *nothing) < door_log_odds(12.0, *nothing) - 2.5  # the length alone is left


def by_clock(shown: list[int], sky: object, late: int = 0, sun: tuple[int, ...] = ()) -> np.ndarray:
    """Rows and columns of a door, where columns 60 to 66 are warm on some days, each day's ``late`` later.

    The next 20 are a window of the sun, warm on the days of ``sun``.
    """
    days = bare(dt.date(2026, 10, 5), dt.date(2026, 10, 18), SITE, STEP)
    lit = np.zeros((DAYS, 200))
    for row in shown:
        lit[row, FROM + late * row : FROM + late * row + 6] = 1.0
    window = np.zeros(lit.shape, bool)
    window[:, FROM : FROM + 26] = len(sun) > 0
    lit[list(sun), FROM + 6 : FROM + 26] = 1.0
    return by_the_clock(
        lit, window, np.ones(lit.shape, bool), np.broadcast_to(sky, DAYS).astype(float),
        school_days(days, SITE, School()), 500.0 - STEP * late * np.arange(DAYS), STEP,
    )  # fmt: skip


CLOUDED = np.array([0.9, 0.1, 0.1, 0.9, 0.1, 0.9, 0.9, 0.1, 0.1, 0.1, 0.9, 0.1, 0.9, 0.9])


def test_minutes_that_are_warm_on_school_days_under_any_sky_are_a_door_s():
    found = by_clock(SCHOOL_DAYS, CLOUDED)
    assert found[:, FROM : FROM + 6].all()
    assert (found.sum(axis=1) <= 6 + 2 * 2).all()  # a margin of four minutes to each side


def test_minutes_that_are_warm_on_clear_days_are_no_door_s():
    clear = SCHOOL_DAYS[:9]  # the same days would be a door's were the sky not asked
    sky = np.full(DAYS, 0.05)
    sky[clear] = 0.95
    assert not by_clock(clear, sky).any()
    assert by_clock(clear, 0.5).any()
    assert not by_clock(list(range(DAYS)), np.full(DAYS, 0.9)).any()


def test_the_rest_of_a_window_tells_a_door_beside_the_sun_from_the_sun():
    shown = SCHOOL_DAYS[:8]
    sky = 0.5 + 0.2 * np.isin(np.arange(DAYS), shown)  # tells too little by itself
    sunny_without, sunny_with = (3, 5, 6, 12, 13), tuple(shown)
    assert not by_clock(shown, sky).any()
    found = by_clock(shown, sky, sun=sunny_without)
    assert found[:, FROM : FROM + 6].all()
    assert not found[:, FROM + 10 :].any()
    assert not by_clock(shown, sky, sun=sunny_with).any()


def test_a_few_warm_school_days_are_too_few():
    assert not by_clock([1, 2, 4], CLOUDED).any()


def test_a_door_s_minutes_are_found_by_the_clock_whatever_column_they_fall_on():
    found = by_clock(SCHOOL_DAYS, CLOUDED, late=2)
    assert [int(np.flatnonzero(found[row]).mean().round()) - 2 * row for row in SCHOOL_DAYS] == [62] * 10
