"""What is in a folder: which files, and what is said of the others."""

from __future__ import annotations

import datetime as dt
import os

import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from station import recording
from station.base.exceptions import UnusableInput
from station.record.columns import READINGS, SAMPLES, check
from station.recording import lines

from .conftest import CHICAGO, READING, utc


def test_a_probe_and_readings_are_read(folder):
    frames = recording.read(
        folder(
            probe="time,celsius\n2026-10-05T09:00:00-05:00,12.5\n2026-10-05T09:00:30-05:00,12.5625\n",
            readings=f"{READING},time,waited,note\n2026-10-05,morning,Alder,7,12.5,54,09:05,5,windy\n",
        ),
        CHICAGO,
    )
    assert utc(frames.probe) == ["2026-10-05 14:00:00", "2026-10-05 14:00:30"]
    assert frames.probe["celsius"].tolist() == [12.5, 12.5625]
    assert frames.readings.iloc[0].to_dict() == {
        "date": dt.date(2026, 10, 5),
        "session": "morning",
        "team": "Alder",
        "thermometer": "7",
        "celsius": 12.5,
        "fahrenheit": 54.0,
        "celsius_written": "12.5",
        "fahrenheit_written": "54",
        "time": pd.Timestamp("2026-10-05T14:05:00Z"),
        "waited": 5.0,
        "note": "windy",
        "line": 2,
    }
    assert frames.problems == ()
    check(frames.probe, SAMPLES, "probe")
    check(frames.readings, READINGS, "readings")


def test_folders_that_are_no_recording_are_one_sentence(tmp_path):
    with pytest.raises(UnusableInput, match="there is no folder"):
        recording.read(tmp_path / "nowhere", CHICAGO)
    (tmp_path / "file").write_text("")
    with pytest.raises(UnusableInput, match="is not a folder"):
        recording.read(tmp_path / "file", CHICAGO)
    with pytest.raises(UnusableInput, match=r"holds neither readings\.csv nor probe\.csv"):
        recording.read(tmp_path, CHICAGO)
    (tmp_path / "probe.csv").mkdir()
    with pytest.raises(UnusableInput, match=r"probe\.csv is a folder, not a file"):
        recording.read(tmp_path, CHICAGO)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
@pytest.mark.parametrize("name", ["probe.csv", "readings.csv", "pairs.csv"])
def test_a_pipe_in_place_of_a_file_does_not_hang(folder, name):
    place = folder(weather="")
    os.mkfifo(place / name)
    (place / "probe-tree.csv").write_text("")
    with pytest.raises(UnusableInput, match=f"{name} is not a file"):
        recording.read(place, CHICAGO)


def test_a_file_that_may_not_be_read_is_one_sentence(folder, monkeypatch):
    place = folder(probe="time,celsius\n")

    def refuse(*_args, **_kwargs):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("pathlib.Path.open", refuse)
    with pytest.raises(UnusableInput, match=r"probe\.csv cannot be read \(Permission denied\)"):
        recording.read(place, CHICAGO)


def test_several_probes_the_region_and_files_of_no_use(folder):
    row = "time,celsius\n2026-10-05T09:00Z,{}\n"
    place = folder(
        probe=row.format(1), probe__Tree=row.format(2), weather=row.format(3), radings=row.format(4)
    )
    (place / "probe.log").write_text("12.5\n")
    (place / "README.md").write_text("invented\n")
    frames = recording.read(place, CHICAGO)
    assert {name: probe["celsius"].tolist() for name, probe in frames.probes.items()} == {
        "": [1.0],
        "Tree": [2.0],
    }
    assert frames.weather["celsius"].tolist() == [3.0]
    assert [str(problem) for problem in frames.problems] == [
        "probe.log: not used: a raw serial capture is no table of samples",
        "radings.csv: not used: no file of a recording has this name",
    ]


def test_progress_ends_at_the_size_of_all_series(folder, monkeypatch):
    monkeypatch.setattr(lines, "BLOCK", 64)
    content = "time,celsius\n" + "".join(f"2026-10-05T09:00:{s:02}Z,12\n" for s in range(60))
    seen = []
    frames = recording.read(
        folder(probe=content, weather=content),
        CHICAGO,
        progress=lambda done, total: seen.append((done, total)),
    )
    assert len(frames.probe) == len(frames.weather) == 60
    assert seen == sorted(seen)
    assert seen[-1] == (2 * len(content), 2 * len(content))


@settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.binary(max_size=300), st.sampled_from(["probe", "readings", "sessions", "opening"]))
def test_any_bytes_are_read_or_refused_and_every_row_is_accounted_for(tmp_path, junk, name):
    heads = {
        "probe": b"time,celsius\n",
        "readings": f"{READING}\n".encode(),
        "sessions": b"date,session,held,reason,shadow,air\n",
        "opening": b"azimuth,elevation\n",
    }
    (tmp_path / "probe.csv").write_bytes(b"")
    (tmp_path / f"{name}.csv").write_bytes(heads[name] + junk)
    frames = recording.read(tmp_path, CHICAGO)
    (tmp_path / f"{name}.csv").unlink()
    read = {"probe": frames.probe, "readings": frames.readings}.get(name)
    rows = [row for row in junk.split(b"\n") if row.strip(b" \t\r,;\x0b\x0c")]
    assert len(frames.table(name) if read is None else read) + len(frames.problems) >= len(rows)
