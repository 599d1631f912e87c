"""How clear a day was: by its range, its shape, its restlessness, and the clearest day of the record."""

import datetime as dt
from dataclasses import replace
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from station.place.background import (
    UNKNOWN_SKY,
    calm_step,
    clear_days,
    is_noisy,
    noise_limit,
    restless_beyond_shade,
    restlessness,
    running_median,
    sun_around,
)
from station.place.days import Days, bare
from station.record.model import Site

SITE = Site(ZoneInfo("America/Chicago"), "place", 44.3, -91.4, 220.0)


def record(month: int, *kinds: tuple[float, float], school_hours: bool = False, front_c: float = 0.0) -> Days:
    """Days that warm from six to three in the afternoon by so much [degC], with steps of so much.

    ``front_c``: the last day warms by a front within half an hour before noon instead.
    """
    days = bare(dt.date(2026, month, 1), dt.date(2026, month, len(kinds)), SITE, 2)
    hours = np.arange(720) / 30
    shape = np.clip(np.sin(np.pi * (hours - 6) / 18), 0, None)
    zigzag = np.where(np.arange(720) % 2, 0.5, -0.5)
    rows = np.array([10 + warm * shape + step * zigzag for warm, step in kinds])
    if front_c:
        rows[-1] = 10 + front_c * np.clip((hours - 11) / 0.5, 0, 1) + kinds[-1][1] * zigzag
    if school_hours:
        rows[:, (hours < 8.25) | (hours > 15.25)] = np.nan
    return replace(days, celsius=rows)


@pytest.mark.parametrize("school_hours", [False, True])
def test_the_more_a_day_warms_the_clearer_it_was(school_hours):
    days = record(10, (1.0, 0.1), (3.0, 0.1), (6.0, 0.1), (9.0, 0.1), school_hours=school_hours)
    found = clear_days(days)
    assert (np.diff(found) > 0).all()
    assert found[-1] > found[0] + 0.3


@pytest.mark.parametrize("school_hours", [False, True])
def test_the_more_restless_a_day_was_the_clearer(school_hours):
    found = clear_days(
        record(10, (5.0, 0.04), (5.0, 0.08), (5.0, 0.14), (9.0, 0.14), school_hours=school_hours)
    )
    assert (np.diff(found[:3]) > 0.1).all()
    assert found[0] < 0.2
    assert found[3] > 0.7


def test_air_that_a_front_warmed_says_less_than_air_that_followed_the_sun():
    sun, front = clear_days(record(10, (7.0, 0.1), (7.0, 0.1), front_c=7.0))
    assert front < sun - 0.1


@pytest.mark.parametrize("clearest", [5.0, 14.0])
def test_the_same_range_means_more_under_a_low_sun(clearest):
    winter, summer = (clear_days(record(month, (5.0, 0.1), (clearest, 0.12)))[0] for month in (12, 6))
    assert winter > summer + 0.1


def test_a_record_of_dull_days_alone_is_not_called_clear():
    assert clear_days(record(10, (1.5, 0.05), (1.6, 0.05), (1.4, 0.05))).max() < 0.35


def test_a_day_of_less_than_three_hours_is_left_open():
    days = record(10, (6.0, 0.1), (6.0, 0.1))
    days.celsius[0, 300 + 80 :] = np.nan
    days.celsius[0, :300] = np.nan
    found = clear_days(days)
    assert found[0] == pytest.approx(UNKNOWN_SKY)
    assert found[1] != pytest.approx(UNKNOWN_SKY)


def test_a_record_too_sparse_for_steps_is_judged_by_its_range():
    fine = record(10, (1.5, 0.1), (5.0, 0.1), (10.0, 0.1))
    days = bare(dt.date(2026, 10, 1), dt.date(2026, 10, 3), SITE, 20)
    days.celsius[:, ::3] = fine.celsius[:, ::30]  # one value an hour
    found = clear_days(days)
    assert found[0] < 0.2
    assert found[2] > 0.6


def test_what_a_changed_place_shows_weeks_later_does_not_make_earlier_days_dull():
    first, later = ((9.0, 0.1),) * 8 + ((4.0, 0.05),) * 4, ((16.0, 0.3),) * 12
    alone, whole = clear_days(record(10, *first)), clear_days(record(10, *first, *later))
    assert whole[0] == pytest.approx(alone[0], abs=0.02)  # twelve days before the change
    assert whole[7] < alone[7]  # beside it


def test_restlessness_is_the_mean_step_of_sunlit_hours_without_their_edges():
    days = record(6, (0.0, 0.1), (0.0, 0.1), (0.0, 0.1))
    days.celsius[1] = 12.0  # calm
    days.celsius[2, 400:] += 8.0  # one edge of the sun in an otherwise even day
    plain, calm, edge = restlessness(days)
    assert plain == pytest.approx(0.1)
    assert calm == 0.0
    assert edge == pytest.approx(0.1, abs=0.002)
    night = replace(days, elevation=np.full_like(days.elevation, -10.0))
    assert (restlessness(night) == 0).all()


@pytest.mark.parametrize("school_hours", [False, True])
@pytest.mark.parametrize(("calm", "shade"), [(0.2, 0.34), (0.01, 0.119)])  # a still night counts as 0.07
def test_restlessness_over_shade_leaves_out_what_a_calm_or_noisy_probe_may_show_by_day(
    school_hours, calm, shade
):
    """Days may step by 1.7 of the calm; a day of more shows the rest in quadrature."""

    def above(lively: float) -> float:
        days = record(10, (5.0, calm), (6.0, calm), (6.0, calm), school_hours=school_hours)
        day = days.elevation[2] > 0
        days.celsius[2, day] += 0.5 * np.where(np.arange(720) % 2, lively - calm, calm - lively)[day]
        return restless_beyond_shade(days, calm_step(days), np.ones(days.celsius.shape, bool))

    assert above(shade - 0.02) == 0.0
    assert above(0.45) == pytest.approx(np.sqrt(0.45**2 - shade**2), abs=0.03)


def test_restlessness_is_asked_where_wanted_if_a_day_has_an_hour_of_it():
    days = record(10, (5.0, 0.01), (6.0, 0.01))
    noon = slice(300, 420)
    days.celsius[1, noon] += np.where(np.arange(120) % 2, 0.25, -0.25)

    def above(*asked: slice) -> float:
        where = np.zeros(days.celsius.shape, bool)
        for part in asked:
            where[:, part] = True
        return restless_beyond_shade(days, calm_step(days), where)

    assert above(noon) > 0.4
    assert above(slice(0, 299), slice(421, 720)) == 0.0
    assert above(slice(240, 269)) == above(slice(0, 720)) > 0.1


def test_only_what_scatters_in_the_dark_may_scatter_more_by_day():
    """Mean steps of 0.3 degC at night allow 1.5 times that; a quiet or unrecorded night allows the usual."""
    assert noise_limit(calm_step(record(10, (5.0, 0.3), (6.0, 0.3)))) == pytest.approx(0.45, abs=0.02)
    lively = record(10, (5.0, 0.02), (6.0, 0.02))
    lively.celsius[lively.elevation > 0] += 0.3 * np.resize([1, -1], (lively.elevation > 0).sum())
    assert noise_limit(calm_step(lively)) == 0.2
    assert noise_limit(calm_step(record(10, (5.0, 0.3), (6.0, 0.3), school_hours=True))) == 0.2


def test_a_probe_is_noisy_that_scatters_in_the_dark_or_without_a_night_on_its_calmest_day():
    for step, noisy in ((0.1, False), (0.2, True)):
        nights = record(10, (5.0, step), (6.0, step), (5.0, 0.3))
        alone = record(10, (5.0, step), (6.0, 0.3), (5.0, 0.3), school_hours=True)
        assert [is_noisy(days, calm_step(days)) for days in (nights, alone)] == [noisy, noisy]
    lively = record(10, (5.0, 0.02), (6.0, 0.02))
    lively.celsius[lively.elevation > 0] += 0.3 * np.resize([1, -1], (lively.elevation > 0).sum())
    assert not is_noisy(lively, calm_step(lively))  # by day alone: eddies, or the sun


def test_cells_around_tell_of_the_sun_as_far_as_they_count_but_for_the_nearest():
    lit, weight = np.zeros((1, 21)), np.ones((1, 21))
    lit[0, 10], weight[0, 15:] = 1.0, 0.0
    sky = np.array([[0.4]])
    # The sky's word is worth five cells; ten count, five of them more than two columns away.
    assert sun_around(sky, weight, lit, 5.0, 5)[0, 10] == pytest.approx((5 * 0.4 + 1) / (5 + 10))
    assert sun_around(sky, weight, lit, 5.0, 5, 2)[0, 10] == pytest.approx(5 * 0.4 / (5 + 5))
    assert sun_around(sky, weight * 0, lit, 5.0, 5)[0, 10] == pytest.approx(0.4)


def test_the_running_median_is_that_of_what_is_known_around():
    values = np.random.default_rng(1).normal(0, 1, (3, 40))
    values[1, [0, 7, 8, 20, 39]] = np.nan
    values[2, 5:25] = np.nan
    found = running_median(values, 2)
    for row, column in zip(*np.nonzero(np.isfinite(values)), strict=True):
        around = values[row, max(column - 2, 0) : column + 3]
        assert found[row, column] == pytest.approx(np.nanmedian(around))  # numpy's own
    assert (np.isnan(found) == np.isnan(values)).all()
