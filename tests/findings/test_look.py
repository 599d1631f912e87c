"""Recordings with little in them: nothing breaks and nobody is named."""

from dataclasses import replace

import pytest

from station.assess import cross_check
from station.record.columns import READINGS, SAMPLES, empty
from station.scenario.draw import draw_class
from station.scenario.plan import Plant
from station.scenario.play import play
from station.settings import parse
from station.views import document


@pytest.fixture(scope="module")
def scenario():
    return play(draw_class(3, honest=True, troubles=False, interval_s=300, weeks=2))


def check(scenario, **frames):
    return cross_check(replace(scenario.frames, **frames), parse(scenario.settings_text))


def nobody_named(a):
    return all(not found for found in a.findings.teams.values())


@pytest.mark.parametrize("n", [0, 1, 2, 13, 30, 120])
def test_first_cards_name_nobody(scenario, n):
    a = check(scenario, readings=scenario.frames.readings.head(n).reset_index(drop=True))
    assert nobody_named(a)
    if n <= 30:
        assert set(a.findings.team_states.values()) <= {"too early"}


def test_without_a_probe(scenario):
    a = check(scenario, probes={"": empty(SAMPLES)})
    assert nobody_named(a)
    assert a.findings.clock == ()


def test_without_readings(scenario):
    a = check(scenario, readings=empty(READINGS))
    assert a.findings.causes.empty
    assert a.findings.teams == {}


def test_one_team_alone(scenario):
    rows = scenario.frames.readings
    a = check(scenario, readings=rows[rows["team"] == rows["team"].iloc[0]].reset_index(drop=True))
    assert nobody_named(a)


def test_cards_without_numbers(scenario):
    a = check(scenario, readings=scenario.frames.readings.assign(thermometer=""))
    assert nobody_named(a)


@pytest.mark.parametrize("scale", ["celsius", "fahrenheit"])
def test_one_scale_only(scenario, scale):
    rows = scenario.frames.readings.copy()
    rows[scale] = float("nan")
    a = check(scenario, readings=rows)
    assert nobody_named(a)
    assert "scale_missing" not in set(a.findings.causes["kind"])


def test_teams_that_keep_one_thermometer_are_named_for_nothing_it_may_do():
    plan = draw_class(3, honest=True, troubles=False, interval_s=300)
    habits = (
        Plant("eye_line", size=1.8),
        Plant("ten_off", rate=0.3, scale="celsius"),
        Plant("scales_swapped", rate=0.3),
    )
    teams = [replace(t, plants=(p,)) for t, p in zip(plan.teams, habits, strict=False)]
    a = check(play(replace(plan, teams=(*teams, *plan.teams[3:]), fixed_tubes=True)))
    kinds = {team: {f.kind for f in found} for team, found in a.findings.teams.items()}
    named = {team for team, found in kinds.items() if found}
    assert not a.separable
    assert named == {plan.teams[2].name}  # swapped scales are on the card, whatever the thermometer
    assert kinds[plan.teams[2].name] == {"scales_swapped"}
    told = {team["team"]: team for team in document.document(a)["teams"]}
    for team in plan.teams[:2]:
        assert told[team.name]["habits"] == []
        assert told[team.name]["finding"] == "too early"
        assert not told[team.name]["separable"]


def test_nobody_written_anything(scenario):
    rows = scenario.frames.readings.copy()
    rows[["celsius", "fahrenheit"]] = float("nan")
    a = check(scenario, readings=rows)
    assert a.findings.causes.empty


def test_a_crossed_day_under_a_turned_clock_is_found_by_the_clock_s_own_record():
    plan = draw_class(101067)  # morning and afternoon 2 degC apart, the clock an hour off for a week
    a = check(play(plan))
    assert [shift.shift_minutes for shift in a.findings.clock] == [-plan.probe.clock[0].shift_minutes]
    crossed = {move.typed[0] for move in a.findings.moves if move.kind == "wrong_half_day"}
    assert crossed == set(plan.crossed_days)


def test_sun_on_the_probe_on_many_mornings_is_no_clock():
    a = check(play(draw_class(900284)))  # an opening to the east; the hour before fits a little better
    assert a.findings.clock == ()
