"""Recordings with little in them: nothing breaks and nobody is named."""

from dataclasses import replace

import pytest

from station.assess import cross_check
from station.record.columns import READINGS, SAMPLES, empty
from station.scenario.draw import draw_class
from station.scenario.play import play
from station.settings import parse


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


def test_nobody_written_anything(scenario):
    rows = scenario.frames.readings.copy()
    rows[["celsius", "fahrenheit"]] = float("nan")
    a = check(scenario, readings=rows)
    assert a.findings.causes.empty
