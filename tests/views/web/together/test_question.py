"""The question of the day: each is asked only where its condition holds."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from station.findings.kinds import Finding
from station.record.model import Session
from station.views.web.together import wording
from station.views.web.together.dots import Dot, ProbeMark, class_dots
from station.views.web.together.question import explained, of_the_day

from ...conftest import FIRST

MORNING = Session(FIRST, "morning")
LATER = Session(FIRST + dt.timedelta(days=2), "morning")


@pytest.fixture
def three(whole):
    """Three numbers, all within promise (1.0) and half a mark (0.5) of a probe that knows the air to 0.4."""
    dots = tuple(Dot(value, 0.5, 1.0, True) for value in (8.0, 9.0, 9.0, 10.0))
    return replace(class_dots(whole, MORNING), dots=dots, waiting=(), probe=ProbeMark(9.1, 0.4, ()))


def test_nobody_is_wrong_only_if_marks_and_promise_explain_every_dot(three):
    assert explained(three)
    far = replace(three, dots=(*three.dots, Dot(10.7, 0.5, 1.0, True)))
    assert not explained(far)


@pytest.mark.parametrize(
    "change",
    [
        {"probe": None},
        {"probe": ProbeMark(9.1, 1.2, ())},
        {"probe": ProbeMark(9.1, 0.4, ("sun",))},
        {"dots": (Dot(9.0, 0.5, 1.0, True), Dot(10.0, 0.5, 1.0, True))},
        {"dots": tuple(Dot(v, 0.5, float("nan"), True) for v in (8.0, 9.0, 10.0))},
    ],
    ids=["no probe", "probe too wide", "probe in doubt", "two numbers", "no promise known"],
)
def test_it_is_not_said_where_it_cannot_be_told(three, change):
    assert not explained(replace(three, **change))


def plain(whole):
    """Return the class without any finding about a thermometer."""
    return replace(whole, findings=replace(whole.findings, thermometers={}))


def test_explained_is_asked_where_nothing_else_stands_out(whole, three):
    assert of_the_day(plain(whole), three).heading == wording.Q_EXPLAINED


def test_a_thermometer_is_asked_about_only_if_it_was_out(whole, three):
    out = set(whole.readings.query("session == 'morning'").loc[lambda r: r["date"] == FIRST, "thermometer"])
    inside = sorted(out)[0]
    outside = next(str(n) for n in range(1, 30) if str(n) not in out)
    for number, kind in ((inside, "number"), (outside, "explained")):
        finding = Finding("thermometer_offset", "thermometer", number, "clear", 0.99, size_c=1.6)
        found = replace(whole.findings, thermometers={number: (finding,)})
        asked = of_the_day(replace(whole, findings=found), three)
        assert asked.kind == kind
        assert (f"Number {number} again" in asked.heading) is (kind == "number")
    early = Finding("thermometer_offset", "thermometer", inside, "too early", 0.99, size_c=1.6)
    asked = of_the_day(
        replace(whole, findings=replace(whole.findings, thermometers={inside: (early,)})), three
    )
    assert asked.kind == "explained"


def test_what_all_share_comes_before_any_thermometer(whole, three):
    rows = whole.readings.copy()
    mine = (rows["date"] == FIRST) & (rows["session"] == "morning")
    rows.loc[mine, ["error", "p_inside", "verdict"]] = [3.0, 0.001, "outside"]
    number = rows.loc[mine, "thermometer"].iloc[0]
    finding = Finding("thermometer_offset", "thermometer", number, "clear", 0.99, size_c=1.6)
    found = replace(whole.findings, thermometers={number: (finding,)})
    asked = of_the_day(replace(whole, readings=rows, findings=found), three)
    assert asked.heading == wording.Q_TOGETHER


def test_weeks_are_compared_only_two_weeks_apart_and_with_enough_cards(whole, three):
    unexplained = replace(three, probe=None)
    assert of_the_day(plain(whole), unexplained).kind == "open"  # eight days of school are too near
    moved = whole.readings.copy()
    late = moved["date"] > FIRST + dt.timedelta(days=6)
    moved.loc[late, "date"] = moved.loc[late, "date"] + dt.timedelta(days=14)
    session = Session(max(moved["date"]), "morning")
    middle = moved.groupby(["date", "session"])["indication"].transform("median")
    same = replace(plain(whole), readings=moved)
    narrower = moved.copy()
    narrower.loc[late, "indication"] = middle + (moved["indication"] - middle) * 0.3
    changed = replace(plain(whole), readings=narrower)
    weeks = replace(unexplained, session=session)
    assert of_the_day(changed, weeks).heading == wording.Q_WEEKS
    assert of_the_day(same, weeks).kind == "open"
