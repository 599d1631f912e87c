"""The host's clock jumps and sleeps: every sample keeps the right time, or says what is open."""

from __future__ import annotations

import datetime as dt
import math

import numpy as np
import pytest

from station.store import open_book

HOUR = 3600.0


def off_s(book, world):
    """Return time in the book minus true time of each sample [s], and its stated standard uncertainty [s]."""
    frame = book.frames().probe
    true = np.array([world.truth[round(value, 4)] for value in frame["celsius"]])
    stamped = frame["time"].dt.tz_localize(None).to_numpy("M8[us]").astype(np.int64) / 1e6
    u_time = book.time_uncertainty()
    assert len(u_time) == len(frame)
    return stamped - true, u_time["u_time_s"].to_numpy()


@pytest.fixture
def book(memory_disk):
    with open_book(memory_disk / "class.book", create=True) as book:
        yield book


@pytest.mark.parametrize("step_s", [3600.0, -3600.0, 3.0, -3.0])
@pytest.mark.parametrize("uptime", [True, False])
class TestSteps:
    def test_time_sync_confirms_the_side_after(self, world, book, step_s, uptime):
        here = world(every_s=30.0, wall_off=-step_s, uptime=uptime)
        here.at(2 * HOUR, lambda w: (setattr(w, "wall_off", 0.0), setattr(w, "synchronised", True)))
        here.run(book, 4.0)
        off, u = off_s(book, here)
        assert len(off) == here.sent
        assert np.abs(off).max() < 0.2
        assert u.max() < 0.2

    def test_the_longer_side_is_right_by_rule(self, world, book, step_s, uptime):
        here = world(every_s=30.0, uptime=uptime)
        here.at(4 * HOUR, lambda w: setattr(w, "wall_off", step_s))
        here.run(book, 5.0)
        off, _ = off_s(book, here)
        assert np.abs(off).max() < 0.2

    def test_where_neither_is_confirmed_the_interval_covers_the_truth(self, world, book, step_s, uptime):
        here = world(every_s=30.0, uptime=uptime)
        here.at(2 * HOUR, lambda w: setattr(w, "wall_off", step_s))
        here.run(book, 4.0)
        off, u = off_s(book, here)
        half_width = u * math.sqrt(3.0) + 0.1
        assert (np.abs(off) <= half_width + 0.1).all()
        assert np.abs(off).max() == pytest.approx(abs(step_s), abs=0.2)  # it is said, not mended
        assert any("nothing tells" in problem.reason for problem in book.frames().problems)


def test_there_and_back_again(world, book):
    here = world(every_s=30.0)
    here.at(3 * HOUR, lambda w: setattr(w, "wall_off", 3600.0))
    here.at(3.5 * HOUR, lambda w: setattr(w, "wall_off", 0.0))
    here.run(book, 6.0)
    assert np.abs(off_s(book, here)[0]).max() < 0.2


def test_sleep_of_forty_minutes_is_a_gap_and_no_step(world, book):
    here = world()

    def sleep(w):
        w.advance(40 * 60.0)
        w.lines()  # the bytes of that time are gone

    here.at(1 * HOUR, sleep)
    here.run(book, 3.0)
    off, _ = off_s(book, here)
    assert np.abs(off).max() < 0.2
    assert len(book.clock_spans()) == 1


def test_lines_held_in_a_buffer_over_a_sleep_get_their_own_time(world, book):
    """The lead kept power and its buffer kept the lines: they arrive together when the computer wakes."""
    here = world()
    here.at(2 * HOUR, lambda w: w.advance(40 * 60.0))
    here.run(book, 3.0)
    assert np.abs(off_s(book, here)[0]).max() < 0.2
    assert here.sent == len(off_s(book, here)[0])


@pytest.mark.parametrize(
    "start", [dt.datetime(2026, 3, 8, 6, tzinfo=dt.UTC), dt.datetime(2026, 11, 1, 4, tzinfo=dt.UTC)]
)
def test_clock_changes_touch_nothing(world, book, start):
    """Both clock changes of America/Chicago in 2026 (8 March 08:00 and 1 November 07:00 UTC): UTC goes on."""
    here = world(t=start.timestamp(), power_on=start.timestamp() - 5.0)
    here.run(book, 4.0)
    assert np.abs(off_s(book, here)[0]).max() < 0.2
    assert len(book.clock_spans()) == 1


def test_a_counter_that_stood_still_is_fitted_anew(world, book):
    here = world()
    here.at(1 * HOUR, lambda w: setattr(w, "power_on", w.power_on + 20.0))
    here.at(2 * HOUR, lambda w: setattr(w, "power_on", w.power_on + 9.0))
    here.run(book, 3.0)
    off, _ = off_s(book, here)
    assert np.mean(np.abs(off) > 0.2) < 0.02  # a minute of values each time, before it is clear
    assert np.abs(off[-300:]).max() < 0.2


@pytest.mark.parametrize("drift", [-5e-3, -5e-5, 5e-5, 5e-3])
def test_a_fast_or_slow_probe_counter(world, book, drift):
    here = world(probe_drift=drift)
    here.run(book, 4.0)
    off, u = off_s(book, here)
    assert np.abs(off).max() < 0.2
    assert u.max() < 0.1


def test_power_cuts_and_the_wrap_of_the_counter(world, book):
    wrap = 2**32 / 1000.0
    here = world(leap=False, power_on=dt.datetime(2026, 10, 5, 12, tzinfo=dt.UTC).timestamp() - wrap + HOUR)
    here.at(1 * HOUR, lambda w: setattr(w, "power_on", w.t))  # 2**32 ms after power-on: looks the same
    here.at(2 * HOUR, lambda w: setattr(w, "power_on", w.t - 1.0))
    here.run(book, 3.0)
    assert np.abs(off_s(book, here)[0]).max() < 0.2


def test_a_clock_set_while_the_logger_was_stopped(world, book):
    here = world(wall_off=-3600.0)
    here.run(book, 0.5)
    here.wall_off, here.synchronised = 0.0, True
    here.advance(600.0)
    here.run(book, 0.5)
    off, _ = off_s(book, here)
    assert np.abs(off).max() < 0.2


def test_after_a_restart_of_the_computer_nothing_is_known_of_the_clock_before(world, book):
    here = world()
    here.run(book, 0.5)
    here.wall_off, here.boot = 3600.0, "the next start"
    here.run(book, 0.5)
    assert [placement.shift for _, placement in book.clock_spans()] == [0, 0]
    assert len(book.frames().probe) == here.sent


def test_thousands_of_restarts_leave_one_clock(world, book):
    here = world(every_s=1.0)
    for _ in range(300):
        here.run(book, 0.002)
    assert len(book.clock_spans()) == 300
    assert np.abs(off_s(book, here)[0]).max() < 0.2
