"""Habits that count, on small classes."""

import importlib.util
import sys
from pathlib import Path

import numpy as np
import pytest

from station.findings import habits

SPEC = importlib.util.spec_from_file_location("findings_build", Path(__file__).with_name("build.py"))
build = importlib.util.module_from_spec(SPEC)
sys.modules["findings_build"] = build
SPEC.loader.exec_module(build)

TEAMS = [f"T{i}" for i in range(9)]


def air(day, part="morning"):
    return 3.0 + 1.7 * (day % 8)


def rounds(rng, day):
    c, f = build.honest(rng, air(day))
    return 5.0 * round(c / 5.0), 10.0 * round(f / 10.0)


@pytest.mark.parametrize("scales", [("celsius", "fahrenheit"), ("celsius",), ("fahrenheit",)])
def test_rounding_is_found_on_whichever_scale_is_written(scales):
    rng = np.random.default_rng(4)

    def card(day, part, team, number):
        return rounds(rng, day) if team == "T4" else build.honest(rng, air(day))

    frame = build.rows(30, TEAMS, card)
    for scale in {"celsius", "fahrenheit"} - set(scales):
        frame[scale] = np.nan
    e = build.evidence(frame, air)
    usual = np.zeros(len(frame))
    found = [habits.found(e, habits.rounded(e, habits.team_rows(e, code), usual)) for code in range(9)]
    assert found == [team == "T4" for team in TEAMS]
