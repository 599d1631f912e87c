import datetime as dt

import numpy as np
import pytest

from station.findings.clock import clock_shifts

DAYS = [dt.date(2026, 10, 5) + dt.timedelta(days=d) for w in range(6) for d in range(7 * w, 7 * w + 5)]
DATES = [day for day in DAYS for _ in range(2)]
PARTS = ["morning", "afternoon"] * len(DAYS)


def air(session: int, hours: float) -> float:
    """Air that rises by 1.2 degC an hour in the morning and 0.6 in the afternoon, other each day."""
    base = 8.0 + 3.0 * np.sin(session / 7.0)
    return base + (1.2 * hours if session % 2 == 0 else 4.0 + 0.6 * hours)


def middle(rng, noise=0.2):
    return np.array([air(s, 0.0) + noise * rng.standard_normal() for s in range(len(DATES))])


def record(turned, minutes):
    """A record whose stamps run ``minutes`` ahead in the sessions ``turned``."""

    def at(session, later):
        off = minutes if session in turned else 0.0
        return air(session, (later - off) / 60.0) + 0.3

    return at


@pytest.mark.parametrize("minutes", [60.0, -60.0])
def test_an_hour_is_found_after_five_days_and_asked_with_the_right_sign(minutes):
    hits = 0
    for seed in range(40):
        found = clock_shifts(
            DATES, PARTS, middle(np.random.default_rng(seed)), record(range(20, 30), minutes)
        )
        hits += len(found) == 1 and found[0].shift_minutes == -minutes
        for shift in found:
            assert abs((shift.first - DATES[20]).days) <= 4
            assert abs((shift.last - DATES[29]).days) <= 4
    assert hits >= 34


def test_a_true_clock_is_left_alone():
    for seed in range(100):
        assert clock_shifts(DATES, PARTS, middle(np.random.default_rng(seed)), record((), 0.0)) == ()


def test_sun_on_the_afternoon_probe_is_no_clock():
    def sunny(session, later):
        return air(session, later / 60.0) + (4.0 if session % 2 and session >= 40 and later > -30 else 0.0)

    for seed in range(30):
        assert clock_shifts(DATES, PARTS, middle(np.random.default_rng(seed)), sunny) == ()


def test_nothing_is_said_without_a_record_or_with_few_sessions():
    rng = np.random.default_rng(1)
    assert clock_shifts(DATES, PARTS, middle(rng), lambda s, m: float("nan")) == ()
    assert clock_shifts(DATES[:4], PARTS[:4], middle(rng)[:4], record(range(4), 60.0)) == ()


def test_sun_in_a_record_of_school_days_is_no_clock_where_the_hour_before_is_lacking():
    def sunny(session, later):
        if session % 2 == 0 and later < 0:
            return float("nan")  # the laptop is away before nine
        sun = 3.0 if session % 2 and 8 <= session < 28 and later > -30 else 0.0
        return air(session, later / 60.0) + sun

    for seed in range(30):
        assert clock_shifts(DATES, PARTS, middle(np.random.default_rng(seed)), sunny) == ()
