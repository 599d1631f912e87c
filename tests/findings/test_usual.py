import importlib.util
import sys
from pathlib import Path

import numpy as np
import pytest

from station.findings.usual import Usual, _own_way, learn

SPEC = importlib.util.spec_from_file_location("findings_build", Path(__file__).with_name("build.py"))
build = importlib.util.module_from_spec(SPEC)
sys.modules["findings_build"] = build
SPEC.loader.exec_module(build)

TEAMS = [f"T{i}" for i in range(9)]


def air(day, part="morning"):
    return 5.0 + 1.5 * (day % 7)


def test_own_way_of_a_normal_team():
    centre, spread = _own_way(0.6 + 0.5 * np.random.default_rng(1).standard_normal(4000))
    assert centre == pytest.approx(0.6, abs=0.1)
    assert spread == pytest.approx(0.5, abs=0.05)


def test_own_way_is_not_moved_by_every_third_session():
    rng = np.random.default_rng(2)
    away = 0.4 * rng.standard_normal(60)
    away[::3] += rng.uniform(2.0, 6.0, 20)
    centre, spread = _own_way(away)
    assert abs(centre) < 0.4
    assert spread < 0.8


def class_in_which_t4_leans(lean):
    """Return evidence, T4's rows and each reading's half of the run; ``lean(rng, day)`` is T4's [degC]."""
    rng = np.random.default_rng(3)

    def card(day, part, team, number):
        return build.honest(rng, air(day), lean(rng, day) if team == "T4" else 0.0)

    frame = build.rows(40, TEAMS, card)
    e = build.evidence(frame, air)
    rows = np.flatnonzero(frame["team"] == "T4")
    late = np.array([(key[0] - build.FIRST).days >= 20 for key in e.sessions])[e.session]
    return e, rows, np.where(frame["team"] == "T4", np.where(late, 2, 1), 0)


def test_a_large_lean_that_coaching_ended_is_not_expected_afterwards():
    e, rows, piece = class_in_which_t4_leans(lambda rng, day: 5.0 if day < 20 else 0.0)
    bias = np.select([piece == 1, piece == 2], [4.9, -0.1], 0.0)
    usual = Usual.of_teams(e, bias, np.full(bias.size, 0.6), piece)
    assert usual.bias[piece == 1] == pytest.approx(5.0, abs=0.3)
    assert usual.bias[piece == 2] == pytest.approx(-0.1)
    causes = usual.causes(e)
    assert causes.honest[rows[piece[rows] == 2]].min() > 0.5


def test_a_bias_pulled_up_by_a_habit_of_some_sessions_is_let_go():
    e, rows, piece = class_in_which_t4_leans(lambda rng, day: 3.5 if day % 5 in (0, 3) else 0.0)
    piece = np.minimum(piece, 1)
    common = Usual.of_teams(e, np.where(piece == 1, 1.3, 0.0), np.full(piece.size, 0.6), piece)
    _, causes, known = learn(e, common, piece, carried=False)
    assert np.abs(known.bias[rows]).max() < 0.4
    assert causes.of("column", "down")[rows].max() < 0.5
