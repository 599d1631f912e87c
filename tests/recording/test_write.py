"""What is written comes back."""

from __future__ import annotations

import csv

import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from station import recording
from station.base.exceptions import UnusableInput
from station.record.columns import TABLES, Frames, check

from .conftest import ALL, CHICAGO, READING


def test_a_folder_of_every_file_comes_back_byte_for_byte(folder, tmp_path):
    assert set(ALL) == {"probe", "probe-tree", "weather", "readings", *TABLES}
    place = folder(**{name.replace("-", "__"): content for name, content in ALL.items()})
    frames = recording.read(place, CHICAGO)
    assert frames.problems == ()
    for name, table in frames.tables.items():
        check(table, TABLES[name], name)
    recording.write(frames, tmp_path / "copy", "[site]\n", CHICAGO, readme="invented\n")
    written = {path.name: path.read_text(encoding="utf-8") for path in (tmp_path / "copy").iterdir()}
    assert written == {
        "station.toml": "[site]\n",
        "README.md": "invented\n",
        **{f"{name}.csv": content for name, content in ALL.items()},
    }


CELL = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\n\r\0"), max_size=20).map(
    str.strip
)


@settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.tuples(CELL, CELL, CELL, CELL, CELL), min_size=1, max_size=5))
def test_what_people_write_comes_back_as_written(tmp_path, rows):
    with (tmp_path / "readings.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow([*READING.split(","), "note"])
        writer.writerows(["2026-10-05", "morning", f"T{team}", *rest] for team, *rest in rows)
    frames = recording.read(tmp_path, CHICAGO)
    assert len(frames.readings) == len(rows)
    assert frames.readings["celsius_written"].tolist() == [row[2] for row in rows]
    assert frames.readings["note"].tolist() == [row[4] for row in rows]
    recording.write(frames, tmp_path / "copy", "", CHICAGO)
    pd.testing.assert_frame_equal(recording.read(tmp_path / "copy", CHICAGO).readings, frames.readings)


def test_what_no_row_can_hold_is_written_as_a_space(tmp_path):
    line = pd.DataFrame(
        {"time": pd.to_datetime(["2026-10-05T14:00Z"]), "line": ["a\0b\r\nc\udcb0"], "reason": ["x"]}
    )
    frames = Frames(probes={}, tables={"rejected": line.astype(dict(TABLES["rejected"]))})
    recording.write(frames, tmp_path, "", CHICAGO)
    assert recording.read(tmp_path, CHICAGO).table("rejected")["line"].tolist() == ["a b c?"]


def test_a_folder_that_cannot_be_written_is_one_sentence(tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(UnusableInput, match="cannot be written"):
        recording.write(Frames(), tmp_path / "file", "", CHICAGO)
