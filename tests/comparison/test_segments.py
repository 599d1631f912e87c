import datetime as dt

import pandas as pd

from station.comparison.segments import split
from station.record.columns import TABLES, empty


def day(d):
    return dt.date(2026, 10, d)


def test_a_change_starts_a_segment_on_its_own_day():
    readings = pd.DataFrame({"team": ["B", "A", "A", "A"], "date": [day(5), day(5), day(6), day(7)]})
    coaching = pd.DataFrame({"team": ["A"], "date": [day(6)], "topic": ["eye line"]})
    found = split(readings, coaching, empty(TABLES["pairs"]))
    assert found.teams == ("A", "B")
    assert found.table["team"].tolist() == ["A", "A", "B"]
    assert found.table["change"].tolist() == ["", "coaching", ""]
    assert found.table["to"].tolist() == [day(5), day(7), day(5)]
    assert found.unit.tolist() == [2, 0, 1, 1]
    assert found.team_code.tolist() == [0, 0, 1]


def test_two_changes_on_one_day_are_one_start_and_changes_without_readings_after_make_none():
    readings = pd.DataFrame({"team": ["A", "A"], "date": [day(5), day(8)]})
    coaching = pd.DataFrame({"team": ["A", "A"], "date": [day(6), day(20)], "topic": ["", ""]})
    pairs = pd.DataFrame({"team": ["A"], "date": [day(6)], "change": ["new pair"]})
    found = split(readings, coaching, pairs)
    assert found.table["change"].tolist() == ["", "coaching and new pair"]


def test_no_readings_no_segments():
    readings = pd.DataFrame({"team": pd.Series(dtype="str"), "date": pd.Series(dtype="object")})
    found = split(readings, empty(TABLES["coaching"]), empty(TABLES["pairs"]))
    assert found.table.empty
    assert found.unit.size == 0
