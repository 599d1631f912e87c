"""Level lines that shut a part of an opening: told by many dark cells at one elevation, and by nothing less."""

import numpy as np
import pytest

from station.place.heights import Bound, find_bounds

STEP, M, D, NOON = 2, 160, 8, 80


@pytest.fixture(scope="module")
def elevation() -> np.ndarray:
    """The sun's, higher from day to day: at noon 40 to 42.1 degrees."""
    column = np.arange(M)
    return 40 - 0.002 * (column - NOON) ** 2 + 0.3 * np.arange(D)[:, None]


INSIDE = np.zeros((D, M), bool)
INSIDE[:, 50:110] = True


def found(lit: np.ndarray, elevation: np.ndarray, out: float = 0.7) -> dict[bool, float]:
    """The likeliest line above (True) and below (False)."""
    bounds = find_bounds(lit, INSIDE, np.full((D, M), out), np.ones((D, M), bool), elevation, STEP)
    return {b.above: float(b.elevations[np.argmax(b.weights)]) for b in bounds}


def shone(open_: np.ndarray) -> np.ndarray:
    return np.where(INSIDE & open_, 0.98, 0.02)


def test_what_the_sun_passes_behind_at_noon_is_a_line_above(elevation):
    lines = found(shone(elevation < 40.9), elevation)
    assert lines == {True: pytest.approx(40.9, abs=0.15)}


def test_what_shuts_the_ends_of_a_window_is_a_line_below(elevation):
    lines = found(shone(elevation > 39.3), elevation)
    assert lines == {False: pytest.approx(39.3, abs=0.15)}


def test_an_opening_without_such_a_line_has_none(elevation):
    assert found(shone(elevation > 0), elevation) == {}


@pytest.mark.parametrize("row", [1, 7])
def test_a_cloud_at_noon_of_one_day_is_no_line(elevation, row):
    lit = shone(elevation > 0)
    lit[row, 70:95] = 0.02
    assert found(lit, elevation) == {}


def test_a_dull_day_neither_makes_a_line_nor_forbids_one(elevation):
    lit = shone(elevation > 0)
    lit[5:] = 0.02
    assert found(lit, elevation, out=0.4) == {}
    cut = shone(elevation < 40.9)
    cut[2] = 0.02
    assert found(cut, elevation, out=0.5) == {True: pytest.approx(40.9, abs=0.15)}


def test_a_door_in_the_dark_part_does_not_forbid_the_line(elevation):
    lit = shone(elevation < 40.9)
    lit[4:, 76:82] = 0.98  # twelve minutes on four days
    assert found(lit, elevation) == {True: pytest.approx(40.9, abs=0.15)}


def test_a_line_leaves_the_light_that_was_read(elevation):
    lit = np.where(INSIDE, 0.02, 0.0)
    lit[0, 52:70] = lit[3, 90:108] = 0.98  # a weak sun, seen on two days: no reason to shut all the rest
    lit[5, 74:88] = 0.98
    for bound in find_bounds(lit, INSIDE, np.full((D, M), 0.7), np.ones((D, M), bool), elevation, STEP):
        assert (lit * INSIDE * bound.inside(elevation)).sum() > 0.85 * (lit * INSIDE).sum()


def test_a_line_that_only_trims_an_end_is_the_edge_s(elevation):
    flat = elevation[:1].repeat(D, axis=0)
    lit = shone(flat > flat[0, 51])  # four minutes in the morning, two in the afternoon
    assert found(lit, flat) == {}


def test_nothing_recorded_tells_nothing(elevation):
    never = np.zeros((D, M), bool)
    assert find_bounds(np.full((D, M), 0.5), INSIDE, np.full((D, M), 0.5), never, elevation, STEP) == ()


def test_a_bound_is_as_wide_as_its_line_is_unsure():
    lines, weights = np.array([30.0, 30.1, 30.2]), np.array([0.25, 0.5, 0.25])
    at = np.array([20.0, 30.0, 30.1, 30.2, 40.0])
    assert Bound(True, lines, weights).inside(at) == pytest.approx([1, 0.75, 0.25, 0, 0])
    assert Bound(False, lines, weights).inside(at) == pytest.approx([0, 0.25, 0.75, 1, 1])
