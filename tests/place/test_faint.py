"""A weak sun in restless air, laid day on day: what forbids "shaded", and what must not."""

import datetime as dt
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest

from station.place import faint
from station.place.days import bare, school_hours
from station.place.openings import Path
from station.place.survey import survey
from station.record.columns import SAMPLES
from station.record.model import School, Site

SITE = Site(ZoneInfo("America/Chicago"), "court", 44.3, -91.4, 220.0)
STEP = 2
#: Ten days from a Monday; the sun is out on seven.
CLEAR = np.array([1, 1, 0, 1, 1, 0, 1, 1, 0, 1], bool)
SKY = np.where(CLEAR, 0.85, 0.1)
WARM_C = 1.2


class Court:
    """Ten days of shaded air whose eddies follow the sun, and the grid that ``faint`` asks for."""

    def __init__(self, seed: int = 3, eddies_c: float = 0.3):
        self.days = bare(dt.date(2026, 9, 14), dt.date(2026, 9, 23), SITE, STEP)
        self.path = Path.of(self.days.azimuth, self.days.elevation)
        self.hours = school_hours(self.days, SITE, School())
        self.bell = self.hours.any(axis=1)
        self.clock = self.days.clock(SITE)[:, 0]
        rng = np.random.default_rng(seed)
        d, m = self.days.celsius.shape
        high = np.clip(np.sin(np.radians(self.days.elevation)), 0, None)
        air = 15 + np.where(CLEAR, 4.0, 1.5)[:, None] * np.sin(np.pi * (np.arange(m) - 240) / 720)
        keep, now = np.exp(-STEP / 4.0), np.zeros(d)
        for j in range(m):
            now = keep * now + np.sqrt(1 - keep**2) * rng.normal(0, 1, d)
            air[:, j] += (0.05 + np.where(CLEAR, eddies_c, 0.4 * eddies_c) * high[:, j]) * now
        self.celsius = np.round(air * 16) / 16

    def sun(self, azimuth: tuple[float, float] = (0, 360), elevation: tuple[float, float] = (3, 90)):
        """Cells at which the sun stands in a part of the sky on clear days."""
        a, e = self.days.azimuth, self.days.elevation
        within = (a > azimuth[0]) & (a < azimuth[1]) & (e > elevation[0]) & (e < elevation[1])
        return within & CLEAR[:, None]

    def at(self, start: int, minutes: float):
        """Cells from a local clock time [min] on, on every day."""
        clock = self.days.clock(SITE)
        return (clock >= start) & (clock < start + minutes)

    def stands_out(
        self, extra_c: np.ndarray, sky: np.ndarray = SKY, limits: faint.Limits = faint.WHOLE_DAYS
    ) -> bool:
        return faint.stands_out(
            self.celsius + extra_c, self.path, sky, self.hours, self.bell, self.clock, STEP, limits
        )


@pytest.fixture(scope="module")
def court() -> Court:
    return Court()


@pytest.mark.parametrize("seed", range(4))
def test_shaded_air_alone_shows_no_stretch(seed):
    court = Court(seed)
    assert not court.stands_out(0.0)
    school = np.where(court.hours, 0.0, np.nan)
    assert not court.stands_out(school, limits=faint.SCHOOL_HOURS)


@pytest.mark.parametrize("azimuth", [(120, 126), (150, 158), (170, 186), (160, 200)])
def test_a_sun_lost_in_each_day_s_eddies_shows_in_all_days_together(court, azimuth):
    assert court.stands_out(WARM_C * court.sun(azimuth))


def test_days_are_laid_by_the_sun_s_height_where_level_edges_bound_the_window(court):
    lit = court.sun((90, 180), (30.0, 32.0))
    first = [int(np.argmax(row)) for row in lit[CLEAR]]
    assert (max(first) - min(first)) * STEP >= 10  # the clock alone would smear it
    assert court.stands_out(WARM_C * lit)


def test_a_door_s_warmth_at_the_clock_on_school_days_is_not_the_sun_s(court):
    door = court.at(10 * 60, 16) & court.bell[:, None]
    assert not court.stands_out(1.5 * door)
    # the same warmth at the same times, but on clear days of either kind
    assert court.stands_out(1.5 * (court.at(10 * 60, 16) & CLEAR[:, None]))


def test_what_lasts_a_few_minutes_is_no_stretch_whatever_its_days(court):
    assert not court.stands_out(4.0 * (court.at(10 * 60, 4) & CLEAR[:, None]))
    assert court.stands_out(4.0 * (court.at(10 * 60, 14) & CLEAR[:, None]))


def test_a_door_keeps_to_the_clock_across_its_change():
    court = Court()
    court.days = bare(dt.date(2026, 10, 27), dt.date(2026, 11, 5), SITE, STEP)
    court.path = Path.of(court.days.azimuth, court.days.elevation)
    court.hours = school_hours(court.days, SITE, School())
    court.bell, court.clock = court.hours.any(axis=1), court.days.clock(SITE)[:, 0]
    assert np.ptp(court.clock) > 50
    door = court.at(10 * 60, 16) & court.bell[:, None]
    before = np.where(np.arange(10) < 5, 0.85, 0.1)  # by the sky alone it would be the sun's
    assert not court.stands_out(1.5 * door, before)
    assert court.stands_out(1.5 * (door & (before > 0.5)[:, None]), before)


def test_one_day_s_event_is_not_enough(court):
    once = court.at(11 * 60, 18) & (np.arange(10) == 3)[:, None]
    assert not court.stands_out(8.0 * once)


def test_a_wall_that_warms_over_half_an_hour_is_not_the_sun(court):
    clock = court.days.clock(SITE)
    since, until = np.clip(clock - 600, 0, None), np.clip(clock - 780, 0, None)
    wall = 2.0 * (np.exp(-until / 35) - np.exp(-since / 35)) * CLEAR[:, None]
    assert not court.stands_out(wall)


@pytest.mark.parametrize(
    ("limits", "scatters", "warm_c", "counts"),
    [
        (faint.WHOLE_DAYS, 4.4, 0.8, True),
        (faint.WHOLE_DAYS, 4.4, 0.7, False),
        (faint.WHOLE_DAYS, 5.4, 0.7, True),
        (faint.WHOLE_DAYS, 5.4, 0.5, False),
        (faint.WHOLE_DAYS, 4.0, 2.0, False),
        (faint.SCHOOL_HOURS, 3.8, 0.8, True),
        (faint.SCHOOL_HOURS, 3.8, 0.7, False),
        (faint.SCHOOL_HOURS, 4.4, 0.65, True),
        (faint.SCHOOL_HOURS, 4.4, 0.5, False),
    ],
)
def test_what_is_warmer_counts_from_fewer_scatters_on(court, monkeypatch, limits, scatters, warm_c, counts):
    def pooled(contrast, scatter, weight, columns):
        sun = float(weight.max() < 1)  # a door's weights are school days
        return np.full(contrast.shape[1], scatters * sun), np.full(contrast.shape[1], warm_c * sun)

    monkeypatch.setattr(faint, "_pooled", pooled)
    assert court.stands_out(0.0, limits=limits) == counts


@pytest.mark.parametrize(("length", "after"), [(7, 10), (16, 10), (7, 0)])
def test_a_stretch_is_weighed_as_well_as_its_wandering_air_allows(length, after):
    weights, before = faint._weights(STEP, length, after), 10
    t = STEP * (np.arange(-before, length + after) + 0.5)
    box = np.interp(t, [-2, 2], [0, 1]) - (
        np.interp(t, STEP * length + np.array([-2, 2]), [0, 1]) if after else 0
    )
    line = np.stack([np.ones_like(t), t, box], axis=1)
    assert weights @ line == pytest.approx([0, 0, 1], abs=1e-9)
    # Of all such weights those of least variance (Gauss and Markov), by Lagrange's conditions.
    far = np.abs(np.subtract.outer(t, t))
    air = np.exp(-far / 8) + 0.1 * (far == 0) + 0.05 * np.minimum.outer(t - t[0], t - t[0])
    conditions = np.block([[air, line], [line.T, np.zeros((3, 3))]])
    best = np.linalg.solve(conditions, np.concatenate([np.zeros(len(t)), [0, 0, 1]]))
    assert weights == pytest.approx(best[: len(t)], abs=1e-9)


def test_ten_minutes_of_a_stretch_have_to_be_school():
    school = np.isin(np.arange(40), np.arange(10, 30))
    assert np.flatnonzero(faint._enough(school, 2, 6)).tolist() == list(range(9, 26))
    backwards = faint._enough(school[::-1], 2, 6)[::-1]  # stretches that end at a column
    assert np.flatnonzero(backwards).tolist() == list(range(14, 31))


@pytest.mark.parametrize("first", [True, False])
def test_a_sun_in_which_a_record_s_day_begins_or_ends_shows_by_one_edge(court, first):
    start, end = 8 * 60 + 15, 15 * 60 + 15
    hours, azimuth = court.at(start, end - start), court.days.azimuth
    school = np.where(hours, 0.0, np.nan)
    edge = azimuth[5, np.flatnonzero(court.at(start + 16 if first else end - 16, STEP)[5])[0]]
    sun = 1.6 * (hours & (azimuth < edge if first else azimuth >= edge) & CLEAR[:, None])
    assert court.stands_out(school + sun, limits=faint.SCHOOL_HOURS)
    assert not court.stands_out(school + sun)
    door = 1.6 * (court.at(start if first else end - 16, 16) & court.bell[:, None])
    assert not court.stands_out(school + door, limits=faint.SCHOOL_HOURS)


def test_one_edge_is_asked_only_where_the_record_does_not_go_on():
    celsius = np.tile(np.interp(np.arange(200) + 0.5, [108, 112], [10.0, 13.0]), (2, 1))
    celsius[1, 125:] = np.nan
    high = np.full(celsius.shape, 40.0)
    found, _ = faint._at_an_end(celsius, high, 1, 12)
    assert np.flatnonzero(np.isfinite(found[0])).tolist() == list(range(169, 189))
    assert np.flatnonzero(np.isfinite(found[1])).tolist() == list(range(94, 114))
    assert found[1, 110] == pytest.approx(3.0)
    celsius[1, 124] += 1.0  # up to the record's last minute
    assert abs(faint._at_an_end(celsius, high, 1, 12)[0][1, 113] - found[1, 113]) > 0.01


def test_only_school_hours_are_asked(court):
    late = court.sun((250, 262))
    assert (court.days.clock(SITE)[late] > School().day_end.hour * 60 + School().day_end.minute).all()
    assert not court.stands_out(WARM_C * late)


def test_broken_cloud_over_a_place_in_the_sun_makes_it_restless(court):
    rng = np.random.default_rng(8)
    cloud = np.repeat(rng.random((10, 48)) < 0.5, 15, axis=1)  # half an hour each
    broken = np.where((np.arange(10) == 4)[:, None], cloud, True)
    lit = court.sun() & broken
    limits = (faint.SCHOOL_HOURS.restless_c, faint.WHOLE_DAYS.restless_c)
    assert faint.restless(court.celsius, court.path, STEP) < 0.8 * min(limits)
    assert faint.restless(court.celsius + 1.8 * lit, court.path, STEP) > max(limits)
    # restless on each day alike is what shaded air is
    lively = Court(eddies_c=0.42)
    assert faint.restless(lively.celsius, lively.path, STEP) < min(limits)


def test_a_weak_sun_is_never_called_shaded_and_the_same_air_without_it_is(court):
    def answer(celsius: np.ndarray) -> str:
        times = pd.DatetimeIndex(court.days.times().ravel()).tz_localize("UTC")
        frame = pd.DataFrame({"time": times, "celsius": celsius.ravel()}).astype(dict(SAMPLES))
        return survey(frame, SITE).verdict.answer

    assert answer(court.celsius) == "shaded"
    assert answer(court.celsius + WARM_C * court.sun((160, 200))) != "shaded"
    assert answer(court.celsius + WARM_C * court.sun((150, 158))) != "shaded"
