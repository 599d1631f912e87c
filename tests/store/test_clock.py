from __future__ import annotations

import datetime as dt

import pytest

from station.record.model import Sample
from station.store import open_book
from station.store.clock import Span, place

HOUR = 3_600_000_000


def shifts(spans):
    return [placement.shift / HOUR for placement in place(spans)]


def test_no_step_no_shift():
    assert shifts([Span(0, 9 * HOUR, None, False)]) == [0.0]


def test_a_synchronised_side_is_right():
    spans = [Span(0, 9 * HOUR, None, False), Span(10 * HOUR, 11 * HOUR, HOUR, True)]
    assert shifts(spans) == [1.0, 0.0]  # the clock jumped one hour ahead and was then right


def test_the_much_longer_side_is_right():
    spans = [Span(0, 9 * HOUR, None, False), Span(8 * HOUR, 9 * HOUR, -HOUR, False)]
    assert shifts(spans) == [0.0, 1.0]


def test_steps_add_up():
    spans = [
        Span(0, 2 * HOUR, None, False),
        Span(3 * HOUR, 4 * HOUR, HOUR, False),
        Span(5 * HOUR, 9 * HOUR, HOUR, True),
    ]
    assert shifts(spans) == [2.0, 1.0, 0.0]


def test_where_nothing_decides_the_half_width_covers_either_side():
    spans = [Span(0, 3 * HOUR, None, False), Span(4 * HOUR, 7 * HOUR, HOUR, False)]
    assert shifts(spans) == [0.0, 0.0]
    assert all(placement.half_width >= HOUR for placement in place(spans))


def test_another_run_of_the_logger_is_judged_by_itself():
    spans = [
        Span(0, 9 * HOUR, None, False),
        Span(20 * HOUR, 21 * HOUR, None, False),
        Span(22 * HOUR, 23 * HOUR, HOUR, True),
    ]
    assert shifts(spans) == [0.0, 1.0, 0.0]


@pytest.mark.parametrize("seal", [False, True])
def test_stamps_in_a_book_follow(tmp_path, seal):
    start = dt.datetime(2026, 10, 5, 12, tzinfo=dt.UTC)
    with open_book(tmp_path / "class.book", create=True) as book:
        first = book.new_span(start, None, "boot", 0.0)
        book.append_samples(
            [Sample(start, 10.0, span=first)], span=first, until=start + dt.timedelta(hours=1)
        )
        later = start + dt.timedelta(hours=2)
        second = book.new_span(later, 3600.0, "boot", 3600.0)
        book.append_samples([Sample(later, 11.0, span=second)], span=second, until=later, confirmed=True)
        if seal:
            book.seal_days(dt.date(2026, 10, 6))
        frames = book.frames()
        assert frames.probe["time"].tolist() == [start + dt.timedelta(hours=1), later]
        assert frames.problems == ()
        assert book.time_uncertainty()["u_time_s"].max() < 0.1


def test_an_open_step_is_a_problem_and_enters_the_uncertainty(tmp_path):
    start = dt.datetime(2026, 10, 5, 12, tzinfo=dt.UTC)
    with open_book(tmp_path / "class.book", create=True) as book:
        first = book.new_span(start, None, "boot", 0.0)
        book.append_samples(
            [Sample(start, 10.0, span=first)], span=first, until=start + dt.timedelta(hours=1)
        )
        second = book.new_span(start, -3600.0, "boot", 0.0)
        book.append_samples([], span=second, until=start + dt.timedelta(hours=1))
        assert "nothing tells" in book.frames().problems[0].reason
        assert book.time_uncertainty()["u_time_s"].tolist() == pytest.approx([3600 / 3**0.5], rel=1e-3)
