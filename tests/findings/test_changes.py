"""What is said to have come of coaching or of a new pair, and what is not."""

import datetime as dt
import importlib.util
import math
import sys
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from station.findings import habits
from station.findings.changes import Side, after_change
from station.findings.kinds import Finding
from station.findings.usual import Usual

SPEC = importlib.util.spec_from_file_location("findings_build", Path(__file__).with_name("build.py"))
build = importlib.util.module_from_spec(SPEC)
sys.modules["findings_build"] = build
SPEC.loader.exec_module(build)

TEAMS = [f"T{i}" for i in range(9)]
DAYS, DAY = 40, 25
DATE = build.FIRST + dt.timedelta(days=DAY)


def air(day, part="morning"):
    return 6.0 + 2.0 * (day % 6)


def class_of(seed, acts, rng_card):
    """Return evidence, causes and the rows of team T4, which acts by ``acts(rng, day)``."""
    rng = np.random.default_rng(seed)

    def card(day, part, team, number):
        return rng_card(rng, day) if team == "T4" and acts(rng, day) else build.honest(rng, air(day))

    frame = build.rows(DAYS, TEAMS, card)
    e = build.evidence(frame, air)
    n = len(frame)
    causes = Usual.of_teams(e, np.zeros(n), np.full(n, 0.5), np.zeros(n, dtype=np.int64)).causes(e)
    return e, causes, habits.team_rows(e, 4)


def sides(e, rows, bias=(math.nan, math.nan), half=0.3):
    when = np.array([key[0] for key in e.sessions], dtype=object)[e.session[rows]]
    parts = (rows[when < DATE], rows[when >= DATE])
    return tuple(
        Side(part, SimpleNamespace(bias=b, bias_low=b - half, bias_high=b + half))
        for part, b in zip(parts, bias, strict=True)
    )


def swapped(rng, day):
    c, f = build.honest(rng, air(day))
    return f, c


def change_of_swaps(seed, acts):
    e, causes, rows = class_of(seed, acts, swapped)
    found = habits.findings(e, causes, np.zeros(e.c.size), 4, np.zeros(e.c.size, dtype=np.int64), True)
    assert [f.kind for f in found] == ["scales_swapped"]
    (change,) = after_change(e, causes, np.zeros(e.c.size), found, sides(e, rows), DATE, "coaching")
    return change


def test_slips_that_end_are_helped_with_limits_below_zero():
    for seed in range(5):
        change = change_of_swaps(seed, lambda rng, day: day < DAY and day % 2 == 0)
        assert change.verdict == "helped"
        assert change.share_low < change.share < change.share_high < 0.0
        assert (change.shown_before, change.cards_before) == (13, 25)
        assert (change.shown_after, change.cards_after) == (0, 15)
        assert math.isnan(change.change_c)


def test_slips_that_go_on_as_before_are_not_helped():
    for seed in range(5):
        change = change_of_swaps(seed, lambda rng, day: day % 2 == 0)
        assert change.verdict == "not yet"
        assert change.share_low < 0.0 < change.share_high


def test_rare_slips_that_are_gone_in_few_cards_are_too_early():
    change = change_of_swaps(1, lambda rng, day: day in (2, 8, 15, 21))
    assert change.verdict == "too early"
    assert change.shown_after == 0


def test_five_cards_after_are_too_early_however_clear():
    e, causes, rows = class_of(1, lambda rng, day: day < DAY, swapped)
    found = habits.findings(e, causes, np.zeros(e.c.size), 4, np.zeros(e.c.size, dtype=np.int64), True)
    before, after = sides(e, rows)
    few = Side(after.rows[:5], after.segment)
    (change,) = after_change(e, causes, np.zeros(e.c.size), found, (before, few), DATE, "new pair")
    assert (change.verdict, change.why) == ("too early", "new pair")


def too_soon(rng, day):
    return build.honest(rng, air(day) + 0.15 * (20.5 - air(day)))


@pytest.mark.parametrize(("ends", "verdict"), [(True, "helped"), (False, "not yet")])
def test_reading_too_soon_is_followed_by_its_lean_and_limits(ends, verdict):
    for seed in range(5):
        e, causes, rows = class_of(seed, lambda rng, day: not ends or day < DAY, too_soon)
        before, after = sides(e, rows)
        found = habits.read_too_soon(e, causes, before.rows)
        assert found is not None
        (change,) = after_change(e, causes, np.zeros(e.c.size), [found], (before, after), DATE, "coaching")
        assert change.verdict == verdict
        assert change.low_c < change.change_c < change.high_c
        assert (change.high_c < 0.0) == ends


@pytest.mark.parametrize(
    ("bias", "half", "verdict"),
    [
        ((1.0, 0.1), 0.2, "helped"),
        ((1.0, 0.9), 0.2, "not yet"),
        ((0.8, 0.3), 0.5, "too early"),  # gone by half, and yet chance may do as much
        ((1.0, -1.2), 0.2, "not yet"),  # as far off the other way
        ((1.0, math.nan), 0.2, "too early"),
    ],
)
def test_a_steady_lean_is_compared_between_its_segments(bias, half, verdict):
    e, causes, rows = class_of(1, lambda rng, day: False, swapped)
    before, after = sides(e, rows, bias, half)
    finding = Finding("eye_line", "column", "T4", "clear", 0.99, tuple(before.rows.tolist()), size_c=1.0)
    (change,) = after_change(e, causes, np.zeros(e.c.size), [finding], (before, after), DATE, "one reader")
    assert change.verdict == verdict
    if verdict == "helped":
        assert change.change_c == pytest.approx(-0.9)
        assert change.high_c == pytest.approx(-0.9 + math.hypot(0.2, 0.2))


def test_nothing_is_said_of_a_team_in_which_nothing_had_been_found_before():
    e, causes, rows = class_of(1, lambda rng, day: False, swapped)
    late = Finding("scales_swapped", "entry", "T4", "clear", 0.99, tuple(sides(e, rows)[1].rows.tolist()))
    assert after_change(e, causes, np.zeros(e.c.size), [], sides(e, rows), DATE, "coaching") == ()
    assert after_change(e, causes, np.zeros(e.c.size), [late], sides(e, rows), DATE, "coaching") == ()
