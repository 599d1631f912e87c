from __future__ import annotations

import time

import pytest

from station.line.timebase import Instant, StepWatch, UptimeClock, now, synchronised


def test_now_is_now():
    moment = now()
    assert abs(moment.wall_s - time.time()) < 60.0
    assert now().steady_s >= moment.steady_s
    assert synchronised() in (True, False)


def test_work_between_the_two_clocks_makes_no_step(monkeypatch):
    """Another program takes the processor for 0.3 s right between reading wall and steady, now and then."""
    real, turns = time.time, iter([True, False] * 50)

    def interrupted():
        value = real()
        if next(turns):
            time.sleep(0.3)
        return value

    watch = StepWatch()
    monkeypatch.setattr(time, "time", interrupted)
    assert [watch.observe(now()) for _ in range(4)] == [None] * 4


class TestStepWatch:
    def test_clocks_that_run_together_make_no_step(self):
        watch = StepWatch()
        assert [watch.observe(Instant(1e9 + i, i)) for i in range(5)] == [None] * 5

    @pytest.mark.parametrize("step", [3600.0, -3600.0, 3.0, -0.5])
    def test_a_step_and_its_size(self, step):
        watch = StepWatch()
        watch.observe(Instant(1e9, 0.0))
        assert watch.observe(Instant(1e9 + 1 + step, 1.0)) == pytest.approx(step)
        assert watch.observe(Instant(1e9 + 2 + step, 2.0)) is None

    def test_a_drifting_clock_over_a_long_sleep_is_no_step(self):
        watch = StepWatch()
        watch.observe(Instant(1e9, 0.0))
        assert watch.observe(Instant(1e9 + 36_000 * (1 + 5e-5), 36_000.0)) is None


class TestUptimeClock:
    def play(self, minutes, *, drift=0.0, delay=lambda i: 0.0, start=1000.0):
        clock, placed = UptimeClock(), None
        for i in range(minutes * 6):
            true = start + 10.0 * i
            placed = clock.place((true - start) * (1 + drift) + 5.0, true + delay(i))
        return clock, placed, true

    def test_before_the_fit_the_arrival_counts(self):
        _, placed, true = self.play(3, delay=lambda i: 0.08)
        assert placed.steady_s == pytest.approx(true + 0.08)

    def test_jitter_is_taken_out_once_fitted(self):
        _, placed, true = self.play(60, drift=2e-3, delay=lambda i: 0.09 if i % 3 else 0.01)
        assert placed.steady_s == pytest.approx(true + 0.01, abs=0.02)
        assert placed.u_s < 0.05

    def test_a_line_held_up_for_minutes_gets_its_own_time(self):
        clock, _, true = self.play(20)
        assert clock.place(true + 10 - 1000.0 + 5.0, true + 10 + 200.0).steady_s == pytest.approx(
            true + 10, abs=0.2
        )

    def test_a_row_number_is_no_clock(self):
        clock = UptimeClock()
        for i in range(200):
            placed = clock.place(i / 1000.0, 10.0 * i)
        assert placed.steady_s == 1990.0

    def test_a_reset_is_counted_and_fitted_anew(self):
        clock, _, true = self.play(20)
        placed = clock.place(0.5, true + 10.0)
        assert (clock.resets, placed.steady_s) == (1, true + 10.0)

    @pytest.mark.parametrize("period", [2**32 / 1e3, 2**30 / 1e3, 2**32 / 1e6])
    def test_a_wrap_is_no_reset(self, period):
        clock = UptimeClock()
        for i in range(200):
            placed = clock.place((period - 995.0 + 10.0 * i) % period, 50.0 + 10.0 * i)
        assert clock.resets == 0
        assert placed.steady_s == pytest.approx(50.0 + 1990.0, abs=0.1)

    def test_values_kept_alone_are_placed_and_their_uncertainty_grows(self):
        clock, _, true = self.play(60, drift=2e-3)
        hour, day = (clock.place_kept((true - 1000.0 - ago) * 1.002 + 5.0) for ago in (1800.0, 3000.0))
        assert hour.steady_s == pytest.approx(true - 1800.0, abs=0.2)
        assert day.steady_s == pytest.approx(true - 3000.0, abs=0.3)
        fresh = UptimeClock()
        fresh.place(40_000.0, 90_000.0)
        far = fresh.place_kept(4_000.0)
        assert far.steady_s == pytest.approx(54_000.0)
        assert far.u_s == pytest.approx(0.01 * 36_000 / 3**0.5, rel=0.01)

    def test_values_of_an_earlier_power_on_have_no_known_time(self):
        assert UptimeClock().place_kept(5.0) is None
        clock, _, _ = self.play(3)
        assert clock.place_kept(1e6) is None
