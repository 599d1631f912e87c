"""Troubles planted into an invented record are found where they are, and nothing else is."""

import datetime as dt
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest

from station.record import columns
from station.record.model import School, Sessions
from station.reference.faults import examine
from station.reference.flags import seconds

ZONE = ZoneInfo("America/Chicago")
SCHOOL = School(first=dt.date(2026, 10, 5), last=dt.date(2026, 11, 13))
SESSIONS = Sessions()


def at(day, hour, minute=0, month=10):
    return dt.datetime(2026, month, day, hour, minute, tzinfo=ZONE).astimezone(dt.UTC)


def record(days=28, every_s=60, seed=0, mean_c=9.0, swing_c=4.0, start=dt.date(2026, 10, 5)):
    """Days of outdoor air: a daily swing, weather of a few days, gusts, steps of 1/16 degC."""
    rng = np.random.default_rng(seed)
    first = dt.datetime.combine(start, dt.time(), tzinfo=ZONE).timestamp()
    t = first + np.arange(0, days * 86400, every_s, dtype=float)
    hours = (t - first) / 3600
    knots = np.arange(0, days * 24 + 48, 6.0)
    weather = np.interp(hours, knots, np.cumsum(rng.normal(0, 1.0, knots.size)) * 0.7)
    clouds = np.interp(hours, np.arange(0, days * 24 + 48, 24.0), rng.uniform(0.3, 1.2, days + 2))
    gusts = np.convolve(rng.normal(0, 1, t.size), np.ones(10) / 10, "same") * 0.3
    x = mean_c + weather - swing_c * clouds * np.cos((hours - 3) / 24 * 2 * np.pi) + gusts
    return t, np.round((x + rng.normal(0, 0.03, t.size)) * 16) / 16


def frame(t, x):
    time = pd.to_datetime(np.round(np.asarray(t) * 1e6).astype("int64"), unit="us", utc=True)
    samples = pd.DataFrame({"time": time, "celsius": np.asarray(x, dtype=float)})
    return columns.check(samples, columns.SAMPLES, "record")


def examined(t, x, school=SCHOOL, sessions=SESSIONS):
    return examine(frame(t, x), ZONE, school, sessions)


def kinds(found):
    return [fault.kind for fault in found.faults]


def between(t, start, end):
    return (t >= start.timestamp()) & (t < end.timestamp())


def close(fault, start, end, minutes=5):
    slack = dt.timedelta(minutes=minutes)
    return abs(fault.start - start) <= slack and abs(fault.end - end) <= slack


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize(
    ("mean_c", "swing_c"), [(9.0, 4.0), (-5.0, 6.0), (20.5, 3.0), (19.0, 1.0), (24.0, 8.0)]
)
def test_an_honest_record_has_no_fault_whatever_the_climate(seed, mean_c, swing_c):
    """Mild and dull weather at classroom temperature included: 30 records of four weeks."""
    found = examined(*record(every_s=300, seed=seed, mean_c=mean_c, swing_c=swing_c))
    assert kinds(found) == []
    assert found.away == ()
    assert found.usable.mean() > 0.999


def test_asleep_over_a_morning_is_a_gap():
    t, x = record()
    keep = ~between(t, at(15, 7), at(15, 12, 30))
    found = examined(t[keep], x[keep])
    assert kinds(found) == ["gap"]
    assert close(found.faults[0], at(15, 7), at(15, 12, 30))


def test_a_pause_outside_school_hours_or_of_15_minutes_is_none():
    t, x = record()
    keep = (
        ~between(t, at(15, 0), at(15, 6))
        & ~between(t, at(17, 9), at(17, 15))
        & ~between(t, at(14, 9, 1), at(14, 9, 15))
    )
    assert kinds(examined(t[keep], x[keep])) == []


def test_85_all_day_is_the_power_on_value():
    t, x = record()
    day = between(t, at(20, 0), at(21, 0))
    x[day] = 85.0
    found = examined(t, x)
    assert kinds(found) == ["power_on_value"]
    assert close(found.faults[0], at(20, 0), at(21, 0))
    np.testing.assert_array_equal(found.usable, ~day)


def test_a_lone_85_or_25_at_power_on_costs_itself_only():
    t, x = record(days=6)
    keep = ~between(t, at(7, 1), at(7, 3)) & ~between(t, at(8, 1), at(8, 3))
    t, x = t[keep], x[keep]
    first, second = (int(np.searchsorted(t, at(day, 3).timestamp())) for day in (7, 8))
    x[first], x[second] = 85.0, 25.0
    found = examined(t, x)
    assert kinds(found) == []
    np.testing.assert_array_equal(np.flatnonzero(~found.usable), [first, second])


def test_85_on_the_way_through_hot_water_is_out_of_range_and_no_power_on_value():
    t, x = record(days=6)
    hot = between(t, at(7, 10), at(7, 10, 21))
    x[hot] = 85.0 + np.abs(np.arange(hot.sum()) - 10) * -0.5
    x[np.flatnonzero(hot)[9:12]] = 85.0  # three in a row would be a trouble of their own
    assert kinds(examined(t, x)) == ["out_of_range"]


def test_a_loose_cable_is_said_once():
    t, x = record(days=10)
    loose = between(t, at(8, 10), at(8, 12)) & (np.arange(t.size) % 3 == 0)
    x[loose] = -127.0
    found = examined(t, x)
    assert kinds(found) == ["disconnected_value"]
    assert close(found.faults[0], at(8, 10), at(8, 12))
    np.testing.assert_array_equal(found.usable, ~loose)


@pytest.mark.parametrize(
    ("start", "end"), [((27, 0), (28, 0)), ((27, 7), (27, 18)), ((26, 16), (28, 8)), ((27, 9), (27, 13))]
)
@pytest.mark.parametrize("seed", range(4))
def test_indoors(start, end, seed):
    t, x = record(seed=seed, mean_c=4.0)
    inside = between(t, at(*start), at(*end))
    room = (
        20.5
        + 0.7 * np.sin(np.arange(inside.sum()) / 300)
        + np.random.default_rng(seed).normal(0, 0.05, inside.sum())
    )
    x[inside] = np.round(room * 16) / 16
    found = examined(t, x)
    assert kinds(found) == ["indoors"]
    assert close(found.faults[0], at(*start), at(*end), 20)
    assert not found.usable[inside].any()


def test_indoors_in_mild_weather_cannot_be_told():
    t, x = record(mean_c=18.0)
    inside = between(t, at(27, 7), at(27, 18))
    x[inside] = 20.5
    x[inside] += np.random.default_rng(0).normal(0, 0.1, inside.sum())
    assert "indoors" not in kinds(examined(t, x))


def test_a_room_much_like_the_days_around_cannot_be_told():
    """Flat, near the classroom and carried in, yet only 2 degC from where the days around were."""
    t, x = record(mean_c=17.0, seed=3)
    hours = (t - at(27, 0).timestamp()) / 3600
    x = np.round((18.5 - 6.0 * np.cos((hours - 3) / 24 * 2 * np.pi)) * 16) / 16
    inside = between(t, at(27, 0), at(28, 0))
    x[inside] = 20.5 + np.random.default_rng(0).normal(0, 0.05, inside.sum())
    assert "indoors" not in kinds(examined(t, x))
    colder = np.where(inside, x, x - 8.0)
    assert "indoors" in kinds(examined(t, colder))


def test_a_day_that_swings_as_days_outdoors_do_is_not_indoors_though_one_end_is_abrupt():
    """Near the classroom for hours and elsewhere than before: its range is half of the usual, not a third."""
    t, x = record(mean_c=6.0, seed=5)
    hours = (t - at(27, 0).timestamp()) / 3600
    x = np.round((6.0 - 5.0 * np.cos((hours - 3) / 24 * 2 * np.pi)) * 16) / 16
    inside = between(t, at(27, 0), at(28, 0))
    x[inside] = 20.5 - 2.6 * np.cos((hours[inside] - 3) / 24 * 2 * np.pi)
    after = between(t, at(28, 0), at(28, 6))
    x[after] = np.linspace(x[inside][-1], x[np.flatnonzero(after)[-1] + 1], after.sum())  # comes back slowly
    assert "indoors" not in kinds(examined(t, x))


def test_a_warm_front_that_arrives_slowly_is_not_indoors():
    """A dull day at classroom temperature after cold ones: outdoors, because nothing carried it there."""
    t, x = record(mean_c=8.0)
    hours = (t - at(27, 0).timestamp()) / 3600
    warm = np.interp(hours, [-12, 0, 24, 36], [0, 1, 1, 0])
    x = np.round((x * (1 - warm) + (20.0 + 0.3 * np.sin(hours)) * warm) * 16) / 16
    assert "indoors" not in kinds(examined(t, x))


def test_stuck():
    t, x = record()
    same = between(t, at(13, 8), at(13, 16))
    x[same] = x[np.flatnonzero(same)[0]]
    found = examined(t, x)
    assert kinds(found) == ["stuck"]
    assert close(found.faults[0], at(13, 8), at(13, 16), 20)


def test_a_coarse_probe_that_stands_for_hours_is_not_stuck():
    t, x = record(swing_c=2.0)
    assert kinds(examined(t, np.round(x * 2) / 2)) == []


@pytest.mark.parametrize("size", [6.0, -5.0])
def test_a_step_that_stays_until_it_is_undone(size):
    t, x = record()
    fell = between(t, at(14, 10), at(14, 13))
    found = examined(t, x + size * fell)
    assert kinds(found) == ["step"]
    assert close(found.faults[0], at(14, 10), at(14, 13))
    assert found.usable.mean() > 0.999


def test_a_step_that_nobody_undoes_ends_with_the_day():
    t, x = record()
    found = examined(t, x - 5.0 * (t >= at(14, 10).timestamp()))
    assert kinds(found) == ["step"]
    assert close(found.faults[0], at(14, 10), at(15, 0))


def test_a_rise_that_fades_ends_where_it_has_faded_by_half():
    t, x = record(mean_c=4.0, swing_c=1.0)
    since = (t - at(14, 10).timestamp()) / 3600
    found = examined(t, x + np.where((since >= 0) & (since < 3), 8.0 * (1 - since / 3), 0.0))
    assert kinds(found) == ["step"]
    assert close(found.faults[0], at(14, 10), at(14, 11, 30), 30)


def test_a_sudden_end_of_a_slow_rise_is_no_step():
    t, x = record(mean_c=4.0, swing_c=1.0)
    since = (t - at(14, 10).timestamp()) / 3600
    assert kinds(examined(t, x + np.where((since >= 0) & (since < 1), 5.0 * since, 0.0))) == []


def test_a_hand_on_the_probe_is_no_step():
    t, x = record(every_s=30)
    held = between(t, at(14, 10), at(14, 10, 3))
    assert kinds(examined(t, x + 8.0 * held)) == []


def school_days(t, x):
    clock = [dt.datetime.fromtimestamp(s, ZONE) for s in t]
    keep = [c.weekday() < 5 and dt.time(8, 15) <= c.time() < dt.time(15, 15) for c in clock]
    return t[keep], x[keep]


def test_a_record_of_school_days_only_is_away_and_no_gap():
    """Over the autumn clock change too: hours are those of the clock on the wall."""
    found = examined(*school_days(*record(days=40, every_s=300)))
    assert kinds(found) == []
    assert len(found.away) == 30
    assert {fault.kind for fault in found.away} == {"away"}
    assert close(found.away[1], at(5, 15, 15), at(6, 8, 15), 1)
    assert close(found.away[5], at(9, 15, 15), at(12, 8, 15), 1)


def test_asleep_over_a_morning_in_a_record_of_school_days_only():
    t, x = school_days(*record(days=26))
    keep = ~between(t, at(15, 8), at(15, 12, 30))
    found = examined(t[keep], x[keep])
    assert kinds(found) == ["gap"]
    assert close(found.faults[0], at(15, 8, 15), at(15, 12, 30), 16)


def test_a_school_day_never_recorded_is_a_gap_and_its_nights_are_away():
    t, x = school_days(*record(days=26))
    keep = ~between(t, at(15, 0), at(16, 0))
    found = examined(t[keep], x[keep])
    assert kinds(found) == ["gap"]
    assert close(found.faults[0], at(15, 8, 15), at(15, 15, 15), 16)


def test_before_a_week_is_known_school_hours_are_expected():
    t, x = school_days(*record(days=3))
    keep = ~between(t, at(6, 10), at(7, 15, 15))  # two of three mornings gone
    keep &= ~between(t, at(5, 10), at(5, 15, 15))
    found = examined(t[keep], x[keep], School(first=SCHOOL.first, last=SCHOOL.last))
    assert "gap" in kinds(found)
    later_t, later_x = school_days(*record(days=12))
    clock = np.array([dt.datetime.fromtimestamp(s, ZONE).hour for s in later_t])
    assert kinds(examined(later_t[clock < 10], later_x[clock < 10])) == []


def test_recording_only_around_the_sessions_is_a_habit_too():
    t, x = record(days=26)
    minute = np.array([(c := dt.datetime.fromtimestamp(s, ZONE)).hour * 60 + c.minute for s in t])
    keep = ((minute >= 525) & (minute < 585)) | ((minute >= 825) & (minute < 885))
    found = examined(t[keep], x[keep])
    assert kinds(found) == []
    assert found.away


def test_a_record_that_begins_after_the_run_did_has_a_gap_before():
    t, x = school_days(*record(days=26))
    keep = t >= at(6, 12).timestamp()
    found = examined(t[keep], x[keep])
    assert kinds(found) == ["gap", "gap"]
    assert close(found.faults[0], at(5, 8, 15), at(5, 15, 15), 16)
    assert close(found.faults[1], at(6, 8, 15), at(6, 12), 1)


def test_a_closed_day_is_no_gap():
    t, x = school_days(*record(days=26))
    keep = ~between(t, at(15, 0), at(16, 0))
    school = School(first=SCHOOL.first, last=SCHOOL.last, closed=frozenset({dt.date(2026, 10, 15)}))
    assert kinds(examined(t[keep], x[keep], school)) == []


def test_a_record_logged_hourly_is_too_seldom_and_has_no_gaps():
    found = examined(*record(every_s=3600))
    assert found.logged_too_seldom
    assert found.typical_interval_s == 3600.0
    assert kinds(found) == []
    assert not examined(*record(days=2, every_s=900)).logged_too_seldom


@pytest.mark.parametrize("n", [0, 1, 2])
def test_a_record_of_almost_nothing(n):
    t, x = record(days=1)
    found = examined(t[:n], x[:n])
    assert (found.faults, found.away, len(found.flags)) == ((), (), n)
    assert not found.logged_too_seldom
    assert found.usable.shape == (n,)


def test_a_record_of_missing_values_and_sentinels_only():
    t, x = record(days=2)
    x[:] = -127.0
    x[::2] = np.nan
    found = examined(t, x)
    assert kinds(found) == ["disconnected_value"]
    assert not found.usable.any()


def test_flags_stay_with_their_samples():
    t, x = record(days=2)
    x[500] += 9.0
    found = examined(t, x)
    np.testing.assert_array_equal(np.flatnonzero(~found.usable), [500])
    assert found.flags["spike"][500] == 4
    np.testing.assert_array_equal(seconds(frame(t, x)["time"]), t)
