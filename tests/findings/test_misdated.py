import datetime as dt
import importlib.util
import sys
from pathlib import Path

import numpy as np
import pytest

from station.findings.misdated import wrong_dates
from station.findings.rematch import crossed_days
from station.findings.usual import Usual

SPEC = importlib.util.spec_from_file_location("findings_build", Path(__file__).with_name("build.py"))
build = importlib.util.module_from_spec(SPEC)
sys.modules["findings_build"] = build
SPEC.loader.exec_module(build)

TEAMS = [f"T{i}" for i in range(9)]
PARTS = ("morning", "afternoon")
DAYS = [12.0, 7.0, 3.0, 9.0, 14.0, 5.0, 10.0]  # mornings; afternoons are 5 degC warmer


def air(day, part):
    return DAYS[day] + (5.0 if part == "afternoon" else 0.0)


def readings(seed, absent=()):
    rng = np.random.default_rng(seed)

    def card(day, part, team, number):
        return None if (day, team) in absent else build.honest(rng, air(day, part))

    return build.rows(len(DAYS), TEAMS, card, PARTS)


def look(frame):
    e = build.evidence(frame, air, PARTS)
    n = len(frame)
    causes = Usual.of_teams(e, np.zeros(n), np.full(n, 0.5), np.zeros(n, dtype=np.int64)).causes(e)
    return e, wrong_dates(e, causes.marginal, np.zeros(n))


def test_honest_classes_with_absences_are_left_alone():
    for seed in range(20):
        _, found = look(readings(seed, absent={(1, "T3"), (4, "T3"), (2, "T5")}))
        assert found == ()


def test_two_teams_typed_under_the_day_before_are_found_with_all_their_cards():
    for seed in range(10):
        frame = readings(seed)
        wrong = (frame["date"] == build.FIRST + dt.timedelta(days=2)) & frame["team"].isin(["T2", "T6"])
        frame.loc[wrong, "date"] = build.FIRST + dt.timedelta(days=1)
        _, found = look(frame)
        assert {row for match in found for row in match.rows} == set(np.flatnonzero(wrong))
        assert all(match.true[0] == build.FIRST + dt.timedelta(days=2) for match in found)


def test_one_card_that_is_off_and_one_absence_make_no_move():
    for seed in range(10):
        frame = readings(seed, absent={(1, "T3")})
        row = int(np.flatnonzero((frame["team"] == "T3") & (frame["session"] == "morning"))[0])
        frame.loc[row, ["celsius", "fahrenheit"]] = (7.0, 44.0)  # fits day 1, typed on day 0
        _, found = look(frame)
        assert found == ()


def test_crossed_half_days_are_found_and_others_not():
    for seed in range(10):
        frame = readings(seed)
        day = frame["date"] == build.FIRST + dt.timedelta(days=3)
        swap = {"morning": "afternoon", "afternoon": "morning"}
        frame.loc[day, "session"] = frame.loc[day, "session"].map(swap)
        found = crossed_days(build.evidence(frame, air, PARTS))
        assert {match.typed[0] for match in found} == {build.FIRST + dt.timedelta(days=3)}
        assert sum(len(match.rows) for match in found) == day.sum()
        assert crossed_days(build.evidence(readings(seed), air, PARTS)) == ()


@pytest.mark.parametrize("part", PARTS)
def test_a_crossed_day_needs_a_reference(part):
    frame = readings(1)
    frame["session"] = frame["session"].map({"morning": "afternoon", "afternoon": "morning"})
    assert crossed_days(build.evidence(frame, lambda day, p: None, PARTS)) == ()


def crossed_on_day_3(seed):
    frame = readings(seed)
    day = frame["date"] == build.FIRST + dt.timedelta(days=3)
    swap = {"morning": "afternoon", "afternoon": "morning"}
    frame.loc[day, "session"] = frame.loc[day, "session"].map(swap)
    return frame


def test_a_crossed_day_is_found_by_a_reference_in_doubt_that_still_tells():
    doubted = lambda day, part: 1.2 if day == 3 else 0.35  # noqa: E731 (as when the clock is suspected)
    for seed in range(5):
        e = build.evidence(crossed_on_day_3(seed), air, PARTS, u=doubted)
        assert {match.typed[0] for match in crossed_days(e)} == {build.FIRST + dt.timedelta(days=3)}


def test_a_reference_that_misses_in_the_sun_crosses_nothing():
    def sunny(day, part):
        return air(day, part) + (6.0 if (day, part) == (3, "morning") else 0.0)

    for seed in range(5):
        assert crossed_days(build.evidence(readings(seed), sunny, PARTS)) == ()


def test_one_reference_alone_that_misses_by_little_crosses_nothing():
    def gone(day, part):
        return None if (day, part) == (3, "morning") else air(day, part) - (1.4 if day == 3 else 0.0)

    for seed in range(5):
        frame = readings(seed)
        shared = (frame["date"] == build.FIRST + dt.timedelta(days=3)) & (frame["session"] == "morning")
        frame.loc[shared, "celsius"] += 4.0  # the morning's pile as warm as the afternoon's reference
        frame.loc[shared, "fahrenheit"] += 7.0
        assert crossed_days(build.evidence(frame, gone, PARTS)) == ()


def test_a_card_with_one_scale_and_a_misread_one_go_along_with_their_pile():
    for seed in range(5):
        frame = readings(seed)
        day = build.FIRST + dt.timedelta(days=2)
        wrong = (frame["date"] == day) & frame["team"].isin(["T2", "T6"])
        frame.loc[wrong & (frame["team"] == "T2"), "celsius"] = np.nan
        misread = wrong & (frame["team"] == "T6") & (frame["session"] == "morning")
        frame.loc[misread, "celsius"] += 10.0
        frame.loc[wrong, "date"] = build.FIRST + dt.timedelta(days=1)
        _, found = look(frame)
        assert {row for match in found for row in match.rows} == set(np.flatnonzero(wrong))


def test_a_class_that_writes_one_scale_has_its_wrong_dates_found():
    frame = readings(3)
    frame["celsius"] = np.nan
    wrong = (frame["date"] == build.FIRST + dt.timedelta(days=2)) & frame["team"].isin(["T2", "T6"])
    frame.loc[wrong, "date"] = build.FIRST + dt.timedelta(days=1)
    _, found = look(frame)
    assert {row for match in found for row in match.rows} == set(np.flatnonzero(wrong))
