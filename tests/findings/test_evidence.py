import importlib.util
import sys
from pathlib import Path

import numpy as np
import pytest

SPEC = importlib.util.spec_from_file_location("findings_build", Path(__file__).with_name("build.py"))
build = importlib.util.module_from_spec(SPEC)
sys.modules["findings_build"] = build
SPEC.loader.exec_module(build)

TEAMS = [f"T{i}" for i in range(10)]


def class_of(shift=0.0, slips=0, seed=1):
    rng = np.random.default_rng(seed)

    def card(day, part, team, number):
        c, f = build.honest(rng, 6.0 + day + shift)
        return (c + 10.0, f) if TEAMS.index(team) < slips else (c, f)

    return build.rows(8, TEAMS, card)


def test_centre_is_near_the_air_although_three_in_ten_slip():
    e = build.evidence(class_of(slips=3), lambda day, part: 6.0 + day)
    air = 6.0 + np.arange(8)
    assert np.abs(e.centre - air).max() < 0.6


def test_what_all_share_is_taken_out_of_the_reference():
    e = build.evidence(class_of(shift=0.8), lambda day, part: 6.0 + day)
    assert np.abs(e.centre - (6.8 + np.arange(8))).max() < 0.4
    assert np.nanmedian(e.told - (6.0 + np.arange(8))) == pytest.approx(0.8, abs=0.2)


def test_a_class_that_agrees_outweighs_a_probe_that_all_miss():
    e = build.evidence(class_of(), lambda day, part: 6.0 + day + (8.0 if day == 3 else 0.0))
    assert e.centre[3] == pytest.approx(9.0, abs=0.5)
    assert e.centre_u[3] < 0.5


def test_without_a_reference_the_class_stands_alone_and_few_cards_leave_doubt():
    e = build.evidence(class_of(), lambda day, part: None)
    assert np.abs(e.centre - (6.0 + np.arange(8))).max() < 0.6
    few = build.evidence(class_of().head(2), lambda day, part: None)
    assert few.u.min() > 5.0


def test_previous_is_the_teams_card_of_the_session_before():
    e = build.evidence(class_of(), lambda day, part: 6.0 + day)
    assert (e.previous[:10] == -1).all()
    assert (e.previous[10:] == np.arange(len(e.c) - 10)).all()
