"""Windows: how they are followed from day to day, how far days lie from them, and how they are trimmed."""

import numpy as np
import pytest

from station.place.windows import Window, follow


@pytest.mark.parametrize(("pause_deg", "windows"), [(4.0, 1), (6.0, 2)])
def test_a_window_is_followed_over_two_weeks_without_a_day_but_not_over_a_season(pause_deg, windows):
    lit = np.zeros((4, 100), bool)
    lit[:, 40:60] = True
    noon = np.array([30.0, 29.7, 29.7 - pause_deg, 29.4 - pause_deg])
    assert len(follow(lit, noon, 2)) == windows


def test_a_window_is_trimmed_at_its_ends_alone_and_of_what_is_left_too_short_beyond():
    cells = np.zeros((3, 100), bool)
    # Within the first window, at the end of the second, and all but the ends of the third.
    cells[:, 50:56] = True
    window = Window({0: (30, 70), 1: (30, 58), 2: (49, 57)})
    assert window.trimmed(cells, 2).rows == {0: (30, 70), 1: (30, 50)}


def test_how_far_days_lie_from_a_window_s_own():
    (window,) = follow(np.array([[True] * 20] * 2), np.array([30.0, 31.0]), 2)
    assert window.apart(np.array([30.0, 31.0, 28.0])) == pytest.approx([0.0, 0.0, 2.0])


def test_seen_rows_nearby_are_asked_as_if_the_window_were_there():
    lit = np.zeros((5, 100), bool)
    lit[[0, 1], 40:60] = True
    noon, seen = np.array([30.0, 30.3, 30.6, 30.9, 33.0]), np.array([True, True, True, False, True])
    (window,) = follow(lit, noon, 2)
    assert window.over(noon, seen).rows == {0: (40, 60), 1: (40, 60), 2: (40, 60)}
