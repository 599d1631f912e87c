"""The small files."""

from __future__ import annotations

import pytest

from station import recording

from .conftest import ALL, CHICAGO


@pytest.mark.parametrize(
    ("name", "row", "says"),
    [
        ("coaching", "Alder,some day,eye line", "'some day' is not a date"),
        ("decisions", "2026-10-05,noon,12,", "is not one of the sessions"),
        ("decisions", "2026-10-05,morning,twelve,", "'twelve' is not a number"),
        ("edits", "now,teacher,readings,2,celsius,1,2,", "'now' is not a time"),
        ("opening", "205,", "there is no elevation"),
        ("shadow", "2026-03-08 02:30,yes", "does not exist"),
        ("checks", "2026-10-01,,7,celsius,1,0,0", "there is no kind"),
    ],
)
def test_a_bad_row_of_a_small_file_costs_itself(folder, name, row, says):
    frames = recording.read(folder(probe="", **{name: ALL[name].rstrip("\n") + f"\n{row}\n"}), CHICAGO)
    (problem,) = frames.problems
    assert says in problem.reason
    assert problem.line == ALL[name].count("\n") + 1
    assert len(frames.table(name)) == ALL[name].count("\n") - 1


def test_words_of_the_small_files_are_brought_to_one_form_or_said(folder):
    frames = recording.read(
        folder(
            probe="",
            sessions="date,session,held,reason,shadow,air\n2026-10-05,morning,Yes,, FAINT ,windy\n",
            coaching="team,date,topic\nalder,2026-10-26,eye line\nWillow,2026-10-26,\nWillow,2026-10-27,\n",
        ),
        CHICAGO,
        teams=("Alder",),
    )
    assert frames.table("sessions").iloc[0][["held", "shadow", "air"]].tolist() == ["yes", "faint", "windy"]
    assert frames.table("coaching")["team"].tolist() == ["Alder", "Willow", "Willow"]
    assert [str(problem) for problem in frames.problems] == [
        "coaching.csv line 3: team 'Willow' is not in station.toml; kept",
        "sessions.csv line 2: air 'windy' is not one of still, leaves, coats; kept as written",
    ]
