"""The lines of the sky between which a window lies."""

import datetime as dt
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from station.place.days import bare
from station.place.openings import Path, clock_log_odds, fit_edge, when_at_azimuth
from station.place.windows import Window
from station.record.model import Site

SITE = Site(ZoneInfo("America/Chicago"), "place", 44.3, -91.4, 220.0)
ROWS, OPENS, CLOSES, BEFORE, WIDTH = 6, 380, 390, 25, 60


@pytest.fixture(scope="module")
def path() -> Path:
    days = bare(dt.date(2026, 6, 1), dt.date(2026, 6, ROWS), SITE, 2)
    return Path.of(days.azimuth, days.elevation)


def placed(path: Path, likelihood: np.ndarray, entering: bool) -> list[int]:
    """The column by which each day has passed an edge as likely as not."""
    window = Window(dict.fromkeys(range(ROWS), (OPENS, CLOSES)))
    edge = fit_edge(likelihood, np.full(ROWS, OPENS - BEFORE), path, window, entering, 2, 25)
    return [int(np.searchsorted(edge.spread(path, row, 720), 0.5)) for row in range(ROWS)]


def test_days_that_say_nothing_leave_each_edge_on_its_own_side_of_the_window(path):
    flat = np.zeros((ROWS, WIDTH))
    assert max(placed(path, flat, True)) <= (OPENS + CLOSES) // 2
    assert min(placed(path, flat, False)) >= (OPENS + CLOSES) // 2


@pytest.mark.parametrize(("entering", "true"), [(True, OPENS), (False, CLOSES)])
def test_days_that_agree_place_the_edge_on_a_line(path, entering, true):
    peaked = -2.0 * np.abs(np.arange(WIDTH)[None, :] - (true - OPENS + BEFORE)) * np.ones((ROWS, 1))
    assert np.abs(np.array(placed(path, peaked, entering)) - true).max() <= 1


@pytest.fixture(scope="module")
def spring() -> Path:
    days = bare(
        dt.date(2026, 1, 28), dt.date(2026, 2, 6), Site(ZoneInfo("Europe/Berlin"), "", 49.6, 10.0, 0.0), 2
    )
    return Path.of(days.azimuth, days.elevation)


def under_a_roof(path: Path, line: float, opens: int, closes: int) -> np.ndarray:
    """The column at which each day's sinking sun comes out under a level line, not before ``opens``."""
    above = [np.flatnonzero(row > line) for row in path.elevation]
    return np.clip([cells[-1] + 1 if len(cells) else 0 for cells in above], opens, closes)


@pytest.mark.parametrize(
    ("opens", "closes"), [(374, 402), (356, 402)], ids=["after noon", "from before noon"]
)
def test_a_roof_s_edge_that_closes_a_window_within_days_is_found_on_either_side_of_noon(
    spring, opens, closes
):
    noon = int(spring.noon[0])
    true = under_a_roof(spring, float(spring.elevation[1, noon + 4]), opens, closes)
    assert true[0] == opens  # the first day: the upright side, the last one: shut
    assert true[-1] == closes
    column = np.arange(opens - 20, closes + 20)
    likelihood = np.maximum(-1.2 * np.abs(np.minimum(column[None, :], closes) - true[:, None]), -7.0)
    window = Window(dict.fromkeys(range(len(true)), (opens, closes)))
    edge = fit_edge(likelihood, np.full(len(true), opens - 20), spring, window, True, 2, 25)
    found = [int(np.searchsorted(edge.spread(spring, row, 720), 0.5)) for row in range(len(true))]
    assert np.abs(np.minimum(found, closes) - true).max() <= 3


def test_a_long_window_whose_days_say_nothing_of_its_end_is_open_down_to_the_horizon(path):
    """What is open for hours has most likely nothing but the horizon before it."""
    opens, closes, before = 320, 500, 120
    flat = np.zeros((ROWS, closes - opens + 2 * before))
    window = Window(dict.fromkeys(range(ROWS), (opens, closes)))
    edge = fit_edge(flat, np.full(ROWS, opens - before), path, window, False, 2, before)
    for row in range(ROWS):
        leaves = int(np.searchsorted(edge.spread(path, row, 720), 0.5))
        assert path.elevation[row, leaves] < 20.0  # it was seen up to 60 degrees


@pytest.mark.parametrize("entering", [True, False])
def test_a_place_in_the_sun_all_day_is_bounded_by_a_low_line_whatever_the_days_say(path, entering):
    """Its days tell of edges where cloud came and went."""
    opens, closes, before = 320, 440, 60
    true = opens if entering else closes
    flat = np.zeros((ROWS, closes - opens + 2 * before))
    flat[:, true - opens + before] = 30.0
    window = Window(dict.fromkeys(range(ROWS), (opens, closes)))
    for horizon_deg, limits in ((None, (45.0, 70.0)), (12.0, (-3.0, 12.0))):
        edge = fit_edge(flat, np.full(ROWS, opens - before), path, window, entering, 2, before, horizon_deg)
        for row in range(ROWS):
            at = int(np.searchsorted(edge.spread(path, row, 720), 0.5))
            assert limits[0] < path.elevation[row, at] < limits[1]


@pytest.mark.parametrize("entering", [True, False])
@pytest.mark.parametrize(("told_deg", "lies"), [((3.0, 10.0), 3.0), ((10.0,), 10.0)], ids=["torn", "sure"])
def test_what_bounds_a_place_in_the_sun_all_day_is_low_unless_the_days_say_otherwise(
    path, entering, told_deg, lies
):
    noon = int(path.noon[0])

    def passes(row: int, line: float) -> int:
        up = np.flatnonzero(path.elevation[row] > line)
        return int(up[0] if entering else up[-1] + 1)

    seen = passes(0, 8.0)  # from there on a place in the sun all day is one
    window = Window(
        dict.fromkeys(range(ROWS), (seen, 2 * noon - seen) if entering else (2 * noon - seen, seen))
    )
    start = min(window.rows[0]) - 60
    told = np.full((ROWS, abs(2 * (noon - seen)) + 120), -4.0)
    for row in range(ROWS):
        for line in told_deg:
            told[row, passes(row, line) - start] = 0.0
    edge = fit_edge(told, np.full(ROWS, start), path, window, entering, 2, 60, 12.0)
    for row in range(ROWS):
        at = int(np.searchsorted(edge.spread(path, row, 720), 0.5))
        assert abs(path.elevation[row, at] - lies) < 1.0


def test_days_that_each_tell_a_little_outweigh_all_the_sky_in_which_no_line_lies(spring):
    opens, closes = 374, 402
    noon = int(spring.noon[0])
    true = under_a_roof(spring, float(spring.elevation[1, noon + 4]), opens, closes)
    column = np.arange(opens - 20, closes + 20)
    likelihood = np.maximum(-1.2 * np.abs(np.minimum(column[None, :], closes) - true[:, None]), -3.0)
    window = Window(dict.fromkeys(range(len(true)), (opens, closes)))
    edge = fit_edge(likelihood, np.full(len(true), opens - 20), spring, window, True, 2, 25)
    found = [int(np.searchsorted(edge.spread(spring, row, 720), 0.5)) for row in range(len(true))]
    assert np.abs(np.minimum(found, closes) - true).max() <= 3


def test_a_bell_keeps_to_the_clock_and_the_sun_to_its_place_also_when_clocks_are_changed():
    """Thirteen days around 8 Mar: the sun comes in an hour later by the clock from then on."""
    days = bare(dt.date(2026, 3, 2), dt.date(2026, 3, 14), SITE, 2)
    path, clock = Path.of(days.azimuth, days.elevation), days.clock(SITE)
    rows, before, width = np.arange(len(clock)), 60, 150
    sun = np.round(when_at_azimuth(path, np.array([130.0]))[:, 0])
    bell = np.round((float(np.median(clock[rows, sun.astype(int)])) - clock[:, 0]) / 2)
    assert np.ptp(bell) >= 30 > np.ptp(sun)
    for edge_at, least, most in ((sun, -np.inf, -5.0), (bell, 5.0, np.inf)):
        first = edge_at.astype(np.intp) - before
        told = -2.0 * np.abs(np.arange(width)[None, :] + first[:, None] - edge_at[:, None])
        window = Window({int(r): (int(edge_at[r]), int(edge_at[r]) + 30) for r in rows})
        edge = fit_edge(told, first, path, window, True, 2, 50)
        at = np.array([int(np.searchsorted(edge.spread(path, row, 720), 0.5)) for row in rows.tolist()])
        assert least < clock_log_odds(told, first, at, clock, 2) < most
