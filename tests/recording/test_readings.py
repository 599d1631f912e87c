"""The cards as written."""

from __future__ import annotations

import datetime as dt

import pytest

from station import recording
from station.base.exceptions import UnusableInput

from .conftest import CHICAGO, READING


def read_readings(folder, rows, header=READING, **files):
    frames = recording.read(
        folder(readings=f"{header}\n{rows}", **files), CHICAGO, teams=("Alder", "Silver Birch")
    )
    return frames.readings, [str(problem) for problem in frames.problems]


def test_entries_stay_as_written(folder):
    readings, problems = read_readings(
        folder,
        '2026-10-05,Morning, alder ,07,"12,5",54F\n'
        "5.10.2026,AFTERNOON,silver  birch,7.0,−3,-\n"
        "2026-10-05,morning,Alder,,absent,broken\n"
        "2026-10-05,morning,Alder,blue,,\n",
    )
    assert readings["session"].tolist() == ["morning", "afternoon", "morning", "morning"]
    assert readings["team"].tolist() == ["Alder", "Silver Birch", "Alder", "Alder"]
    assert readings["thermometer"].tolist() == ["7", "7", "", "blue"]
    assert readings["celsius_written"].tolist() == ["12,5", "−3", "absent", ""]
    assert readings["fahrenheit_written"].tolist() == ["54F", "-", "broken", ""]
    assert readings["celsius"].tolist()[:2] == [12.5, -3.0]
    assert readings["celsius"].isna().tolist() == [False, False, True, True]
    assert readings["fahrenheit"].isna().tolist() == [False, True, True, True]
    assert readings["date"].tolist() == [dt.date(2026, 10, 5)] * 4
    assert readings["time"].isna().all()
    assert problems == []


@pytest.mark.parametrize(
    ("row", "says", "kept"),
    [
        ("03/04/2026,morning,Alder,7,12,54", "could be two dates", False),
        (",morning,Alder,7,12,54", "there is no date", False),
        ("2026-10-05,noon,Alder,7,12,54", "'noon' is not one of the sessions morning, afternoon", False),
        ("2026-10-05,morning,,7,12,54", "there is no team", False),
        ("2026-10-05,morning,Alder,7,12,5,54", "7 cells under 6 names; is a decimal comma", False),
        ("2026-10-05,morning,Willow,7,12,54", "team 'Willow' is not in station.toml; kept", True),
        ("2026-10-05,morning,Alder,7,12.5.3,54", "'12.5.3' is not a number; kept as written", True),
        ("2026-10-05,morning,Alder,7,1e308,54", "'1e308' is on no thermometer; kept as written", True),
        ("2026-10-05,morning,Alder,7,54F,12", "'54F' stands in the column celsius; kept", True),
        ('2026-10-05,morning,Alder,7,12,"54', "", True),
        ('"2026-10-05,morning,Alder,7,12,54', "there is no session", False),
    ],
)
def test_a_row_of_readings_costs_itself_at_most(folder, row, says, kept):
    good = "2026-10-05,afternoon,Alder,1,10,50\n"
    readings, problems = read_readings(folder, good + row + "\n" + good)
    assert len(readings) == 2 + kept
    assert readings["line"].tolist() == ([2, 3, 4] if kept else [2, 4])
    assert [says in problem and "line 3" in problem for problem in problems] == ([True] if says else [])


def test_times_and_minutes_waited_cost_themselves_only(folder):
    readings, problems = read_readings(
        folder,
        "2026-10-05,morning,Alder,7,12,54,9:05,5 min\n"
        "2026-10-05,morning,Alder,7,12,54,9am,-1\n"
        "2026-03-08,morning,Alder,7,12,54,02:30,absent\n"
        "2026-10-05,morning,Alder,7,12,54\n",
        header=f"{READING},time,waited,mood",
    )
    assert readings["time"].isna().tolist() == [False, True, True, True]
    assert readings["waited"].tolist()[0] == 5.0
    assert readings["waited"].isna().tolist() == [False, True, True, True]
    assert [problem.split(";")[0] for problem in problems] == [
        "readings.csv line 1: not used: column 'mood'",
        "readings.csv line 3: '9am' is not a clock time such as 09:05",
        "readings.csv line 3: waited '-1' is not a number of minutes",
        "readings.csv line 4: '02:30' does not exist on 2026-03-08: clocks jumped over it",
    ]


def test_a_stranger_is_said_once(folder):
    row = "2026-10-05,morning,Willow,7,12,54\n"
    readings, problems = read_readings(folder, row * 3)
    assert len(readings) == 3
    assert problems == ["readings.csv line 2: team 'Willow' is not in station.toml; kept"]


def test_one_scale_is_enough_and_no_thermometer_is_needed(folder):
    readings, problems = read_readings(
        folder, "2026-10-05,morning,Alder,54\n", header="date,session,team,fahrenheit"
    )
    assert readings["fahrenheit"].tolist() == [54.0]
    assert readings["thermometer"].tolist() == [""]
    assert readings["celsius"].isna().all()
    assert problems == []


@pytest.mark.parametrize(
    ("header", "says"),
    [
        (
            "date,session,thermometer,celsius,fahrenheit",
            'readings.csv line 1: no column "team" in the header',
        ),
        ("date,session,team,thermometer", 'no column "celsius" or "fahrenheit"'),
    ],
)
def test_readings_without_a_column_they_need_are_one_sentence(folder, header, says):
    with pytest.raises(UnusableInput, match=says):
        read_readings(folder, "", header=header)
