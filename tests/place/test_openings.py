"""The lines of the sky between which a window lies."""

import datetime as dt
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from station.place.days import bare
from station.place.openings import Path, fit_edge
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
    edge = fit_edge(likelihood, np.full(ROWS, OPENS - BEFORE), path, window, entering, 2)
    return [int(np.searchsorted(edge.spread(path, row, 720), 0.5)) for row in range(ROWS)]


def test_days_that_say_nothing_leave_each_edge_on_its_own_side_of_the_window(path):
    flat = np.zeros((ROWS, WIDTH))
    assert max(placed(path, flat, True)) <= (OPENS + CLOSES) // 2
    assert min(placed(path, flat, False)) >= (OPENS + CLOSES) // 2


@pytest.mark.parametrize(("entering", "true"), [(True, OPENS), (False, CLOSES)])
def test_days_that_agree_place_the_edge_on_a_line(path, entering, true):
    peaked = -2.0 * np.abs(np.arange(WIDTH)[None, :] - (true - OPENS + BEFORE)) * np.ones((ROWS, 1))
    assert np.abs(np.array(placed(path, peaked, entering)) - true).max() <= 1
