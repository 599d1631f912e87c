import datetime as dt
import importlib.util
import sys
from pathlib import Path

import numpy as np

from station.findings.sessions import number_troubles, same_numbers, whole_class

SPEC = importlib.util.spec_from_file_location("findings_build", Path(__file__).with_name("build.py"))
build = importlib.util.module_from_spec(SPEC)
sys.modules["findings_build"] = build
SPEC.loader.exec_module(build)

TEAMS = [f"T{i}" for i in range(9)]


def class_of(seed, days=40, alike=0.0, off=None):
    rng = np.random.default_rng(seed)
    last = {}

    def card(day, part, team, number):
        c, f = build.honest(rng, 5.0 + (day * 3) % 11)
        if off is not None and day == off[0] and TEAMS.index(team) < off[1]:
            c, f = c + 4.0, f + 7.0
        if team == "T5" and rng.random() < alike:
            c, f = last[day]
        last[day] = (c, f)
        return c, f

    return build.rows(days, TEAMS, card)


def air(day, part):
    return 5.0 + (day * 3) % 11


def test_most_teams_off_the_same_way_put_the_session_in_doubt():
    day = build.FIRST + dt.timedelta(days=6)
    assert whole_class(build.evidence(class_of(1, off=(6, 8)), air)) == ((day, "morning"),)
    assert whole_class(build.evidence(class_of(1, off=(6, 6)), air)) == ()
    assert whole_class(build.evidence(class_of(1), air)) == ()


def test_cards_alike_are_a_matter_of_the_class_and_rare_by_chance():
    for seed in range(25):
        assert same_numbers(build.evidence(class_of(seed), air)) is None
    found = same_numbers(build.evidence(class_of(3, alike=0.9), air))
    assert found is not None
    assert (found.kind, found.group, found.subject) == ("same_numbers", "sharing", "")


def test_a_number_used_twice_or_retired_is_noted():
    frame = class_of(1, days=3)
    frame.loc[1, "thermometer"] = frame.loc[0, "thermometer"]
    e = build.evidence(frame, air)
    assert [t.row for t in number_troubles(e, frame, {})] == [0, 1]
    retired = {frame.loc[20, "thermometer"]: build.FIRST + dt.timedelta(days=2)}
    rows = [t.row for t in number_troubles(e, frame, retired) if t.why == "retired"]
    assert rows == [i for i in range(18, 27) if frame.loc[i, "thermometer"] in retired]
