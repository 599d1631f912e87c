"""Gaps of an opening: what stays dark on clear days is dark, what a cloud took is not."""

import numpy as np
import pytest

from station.place.gaps import BRIEF, gaps, gaps_elsewhere
from station.place.openings import Path

STEP, M, D = 2, 200, 8


@pytest.fixture(scope="module")
def path() -> Path:
    column = np.arange(M)
    azimuth = np.tile(120 + 0.6 * column, (D, 1))
    elevation = np.tile(40 - 0.003 * (column - 100.0) ** 2, (D, 1)) + 0.1 * np.arange(D)[:, None]
    return Path(azimuth, elevation, np.full(D, 100))


def dark(path: Path, lit: np.ndarray) -> np.ndarray:
    open_ = np.zeros((D, M))
    open_[:, 50:120] = 0.95
    return gaps(lit, open_, np.full((D, M), 0.6), np.ones((D, M), bool), path, STEP)


def test_a_part_that_is_dark_every_day_is_a_gap_and_reaches_nearby_dates_only(path):
    lit = np.zeros((D, M))
    lit[:, 50:120] = 0.99
    lit[:, 75:90] = 0.01
    found = dark(path, lit)
    assert (found[:, 77:88] > 0.5).all()
    assert (found[:, 55:70] < 0.5).all()
    assert (found[:, 95:115] < 0.5).all()
    near = Path(path.azimuth[:1], path.elevation[:1] + 0.3, path.noon[:1])
    far = Path(path.azimuth[:1], path.elevation[:1] + 9.0, path.noon[:1])
    assert gaps_elsewhere(found, path, near)[0, 82] > 0.5
    assert not gaps_elsewhere(found, path, far).any()


def test_a_cloud_on_one_day_and_a_dull_day_make_no_gap(path):
    lit = np.zeros((D, M))
    lit[:, 50:120] = 0.99
    lit[2, 75:90] = 0.01
    lit[5, 50:120] = 0.01
    assert not (dark(path, lit) > 0.5).any()


def test_a_gap_of_under_ten_minutes_is_left_out(path):
    lit = np.zeros((D, M))
    lit[:, 50:120] = 0.99
    lit[:, 80:83] = 0.01
    assert not (dark(path, lit) > 0.5).any()


def test_a_part_that_shuts_within_the_record_is_dark_from_then_on_and_on_a_dull_day_among_them(path):
    lit = np.zeros((D, M))
    lit[:, 50:98] = 0.99
    lit[:4, 98:120] = 0.99
    lit[6] = 0.01  # dull
    found = dark(path, lit)
    assert (found[4:, 100:118] > 0.5).all()
    assert (found[:4, 52:118] < 0.5).all()
    assert (found[4:, 52:94] < 0.5).all()


def test_a_day_s_own_light_stands_before_what_its_neighbours_say(path):
    lit = np.zeros((D, M))
    lit[:, 50:120] = 0.99
    lit[:3, 75:90] = 0.01
    lit[4:, 75:90] = 0.01
    found = dark(path, lit)
    assert (found[3, 77:88] < 0.5).all()
    assert (found[[1, 2, 4, 5]][:, 77:88] > 0.5).all()


def test_where_a_cloud_was_told_of_dark_says_nothing(path):
    lit = np.zeros((D, M))
    lit[:, 50:120] = 0.99
    lit[:, 75:90] = 0.01
    open_ = np.where((np.arange(M) >= 50) & (np.arange(M) < 120), 0.95, 0.0) * np.ones((D, 1))
    looked = np.ones((D, M), bool)
    looked[:, 75:90] = False
    assert not (gaps(lit, open_, np.full((D, M), 0.6), looked, path, STEP) > 0.5).any()


def test_clear_days_tell_of_a_gap_to_days_without_a_word_some_tenths_of_a_degree_away(path):
    lit = np.zeros((D, M))
    lit[:, 50:120] = 0.99
    lit[:, 100:120] = 0.01
    open_ = np.where((np.arange(M) >= 50) & (np.arange(M) < 120), 0.95, 0.0) * np.ones((D, 1))
    told = np.arange(D)[:, None] < 4

    def away(deg: float) -> np.ndarray:
        there = Path(path.azimuth, path.elevation + np.where(told, 0.0, deg), path.noon)
        return gaps(lit, open_, np.full((D, M), 0.6), np.repeat(told, M, axis=1), there, STEP)

    assert (away(0.2)[4:, 102:118] > 0.5).all()
    assert not (away(25.0)[4:] > 0.5).any()


def test_what_is_lit_for_minutes_between_gaps_is_rather_dark_and_told_from_a_gap(path):
    lit = np.zeros((D, M))
    lit[:, 50:120] = 0.99
    lit[:, 70:100] = 0.01
    lit[:, 84:87] = 0.99
    found = dark(path, lit)
    assert (found[:, 72:82] > 0.5).all()
    assert (found[:, 85] == BRIEF).all()
    assert BRIEF > 0.5
    assert (found[:, 85] < found[:, 77]).all()
