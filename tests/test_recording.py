import csv
import datetime as dt
import os
import subprocess
import sys
import tracemalloc
from zoneinfo import ZoneInfo

import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from station import recording
from station.base.exceptions import UnusableInput
from station.record.columns import READINGS, SAMPLES, TABLES, Frames, check
from station.recording import lines, samples
from station.recording.problems import Problems

CHICAGO = ZoneInfo("America/Chicago")
READING = "date,session,team,thermometer,celsius,fahrenheit"


@pytest.fixture
def folder(tmp_path):
    def make(**files):
        for name, content in files.items():
            path = tmp_path / (name.replace("__", "-") + ".csv")
            path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return tmp_path

    return make


def read_probe(folder, content, zone=CHICAGO):
    frames = recording.read(folder(probe=content), zone)
    return frames.probe, [str(problem) for problem in frames.problems]


def utc(frame):
    return [f"{at:%Y-%m-%d %H:%M:%S}" for at in frame["time"]]


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


@pytest.mark.parametrize(
    "content",
    [
        b"\xef\xbb\xbftime,celsius\r\n2026-10-05T09:00:00Z,-3.5\r\n2026-10-05T09:01:00Z,12\r\n",
        b"time;celsius\n2026-10-05T09:00:00Z;-3,5\n2026-10-05T09:01:00Z;12\n",
        b"time\tcelsius\n2026-10-05 09:00:00Z\t-3.5\n2026-10-05 09:01:00Z\t12",
        b"celsius,time\n-3.5,2026-10-05T09:00:00Z\n12,2026-10-05T09:01:00Z\n",
        b'"time","celsius"\n"2026-10-05T09:00:00Z","-3,5"\n2026-10-05T09:01:00Z,"12"\n',
        b" Time , Celsius\n2026-10-05T09:00:00Z, -3.5 \n 2026-10-05T09:01:00Z,12.000\n",
        b"\n\ntime,celsius\n\n2026-10-05T09:00:00Z,-3.5\n,\n  \n2026-10-05T09:01:00Z,12,\n\n",
        b"time,celsius\r2026-10-05T09:00:00Z,-3.5\r2026-10-05T09:01:00Z,12\r",
        "time;celsius\n2026-10-05T09:00Z;−3,5 °C\n2026-10-05T09:01Z;12 °C\n".encode(),
        "time;celsius\n2026-10-05T09:00Z;-3,5 °C\n2026-10-05T09:01Z;12°\n".encode("latin-1"),
        "time;celsius\n2026-10-05T09:00Z;–3,5\n2026-10-05T09:01Z;12 degC\n".encode("cp1252"),
        b"time,fahrenheit\n2026-10-05T04:00:00-05:00,25.7\n2026-10-05T04:01:00-05:00,53.6 F\n",
        b"time,kelvin\n2026-10-05 04:00,269.65\n2026-10-05 04:01,285.15 K\n",
        b"time,celsius\n2026-10-05T09:00:00Z,-3.5\n2026-10-05 04:01,12\n",
    ],
)
def test_one_record_in_the_forms_that_programs_save(folder, content):
    probe, problems = read_probe(folder, content)
    assert utc(probe) == ["2026-10-05 09:00:00", "2026-10-05 09:01:00"]
    assert probe["celsius"].tolist() == pytest.approx([-3.5, 12.0], abs=1e-12)
    assert problems == []


@pytest.mark.parametrize(
    ("row", "says"),
    [
        (b"2026-10-05T09:00:00Z,nan", "'nan' is not a number"),
        (b"2026-10-05T09:00:00Z,inf", "'inf' is not a number"),
        (b"2026-10-05T09:00:00Z,1e400", "'1e400' is not a number"),
        (b"2026-10-05T09:00:00Z,ERR", "'ERR' is not a number"),
        (b"2026-10-05T09:00:00Z," + b"9" * 5000, "is not a number"),
        (b"2026-10-05T09:00:00Z,", "there is no value"),
        (b"2026-10-05T09:00:00Z", "there is no value"),
        (b"2026-10-05T09:00:00Z,54F", "'54F' stands in the column celsius"),
        (b"2026-10-05T09:00:00Z,12,5", "3 cells under 2 names; is a decimal comma"),
        (b"2026-10-05T09:00:00Z,1\x002", "holds zero bytes"),
        (b"\x00\x00\x00", "holds zero bytes"),
        (b"2026-10-05,12", "'2026-10-05' is not a time such as"),
        (b",12", "'' is not a time such as"),
        (b"2026-03-08 02:30,12", "2026-03-08 02:30:00 does not exist: clocks jumped over it"),
        (b"x" * 70_000, "the line is longer than"),
        (b'"2026-10-05T09:00:00Z,12', "is not a time"),
        (b"\xff\xfe\xfd", "is not a time"),
        (b"time,celsius", "'time' is not a time"),
    ],
)
def test_a_bad_row_costs_that_row_and_is_listed(folder, row, says):
    good = b"2026-10-05T0%d:00:00Z,12\n"
    probe, problems = read_probe(folder, b"time,celsius\n" + good % 1 + row + b"\n" + good % 2)
    assert utc(probe) == ["2026-10-05 01:00:00", "2026-10-05 02:00:00"]
    (problem,) = problems
    assert problem.startswith("probe.csv line 3: ")
    assert says in problem


def test_the_values_of_broken_sensors_are_kept_for_the_flags(folder):
    probe, problems = read_probe(
        folder, "time,celsius\n2026-10-05T01:00Z,85\n2026-10-05T02:00Z,-127\n2026-10-05T03:00Z,-0.0\n"
    )
    assert probe["celsius"].tolist() == [85.0, -127.0, 0.0]
    assert problems == []


def test_the_doubled_hour_is_told_apart_by_order_and_said_once(folder):
    clocks = ["00:30", "01:00", "01:30", "01:00", "01:30", "02:00"]
    probe, problems = read_probe(folder, "time,celsius\n" + "".join(f"2026-11-01 {c},5\n" for c in clocks))
    assert utc(probe) == [
        f"2026-11-01 {c}:00" for c in ("05:30", "06:00", "06:30", "07:00", "07:30", "08:00")
    ]
    assert problems == [
        "probe.csv line 3: local times of 2026-11-01 that occur twice were told apart by their order: "
        "2 rows before and 2 after clocks went back"
    ]


def test_repeats_and_steps_back_are_counted(folder):
    probe, problems = read_probe(
        folder,
        "time,celsius\n2026-10-05T02:00Z,2\n2026-10-05T01:00Z,1\n2026-10-05T02:00Z,2.0\n"
        "2026-10-05T01:00Z,9\n2026-10-05T03:00Z,3\n",
    )
    assert utc(probe) == [f"2026-10-05 0{hour}:00:00" for hour in (1, 2, 3)]
    assert probe["celsius"].tolist() == [1.0, 2.0, 3.0]
    assert problems == [
        "probe.csv line 3: time steps back here (2 times in all); rows were sorted",
        "probe.csv line 4: repeats an earlier row (1 such rows in all); dropped",
        "probe.csv line 5: 9 degC at a time that line 3 has with 1 degC, which was kept",
    ]


def test_a_file_broken_throughout_is_counted_to_the_last_row(folder):
    probe, problems = read_probe(folder, "time,celsius\n" + "ERR,ERR\n" * 5000)
    assert probe.empty
    assert len(problems) == 1001
    assert problems[-1] == "probe.csv line 1002: 4000 more rows from this line on were not used as written"


def test_a_column_that_nobody_reads_is_said_once(folder):
    probe, problems = read_probe(
        folder, "time,humidity,celsius,fahrenheit\n2026-10-05T09:00Z,80,12,54\n2026-10-05T09:01Z,80,12,54\n"
    )
    assert probe["celsius"].tolist() == [12.0, 12.0]
    assert problems == ["probe.csv line 1: not used: column 'humidity', 'fahrenheit'"]


@pytest.mark.parametrize("content", [b"", b"\n\n", b"time,celsius", b"\xef\xbb\xbftime,celsius\r\n"])
def test_an_empty_record_is_no_trouble(folder, content):
    probe, problems = read_probe(folder, content)
    assert probe.empty
    assert problems == []
    check(probe, SAMPLES, "probe")


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (
            b"2026-10-05T09:00Z,12\n",
            "probe.csv line 1: no column \"time\" in the header '2026-10-05T09:00Z,12'",
        ),
        (b"\ntime,temperature\n", "probe.csv line 2: no column \"celsius\" in the header 'time,temperature'"),
        (b"\0" * 5000, 'no column "time"'),
        ("time,celsius\n".encode("utf-16"), "saved as UTF-16; save it as CSV in UTF-8"),
    ],
)
def test_a_probe_file_without_its_header_is_one_sentence(folder, content, says):
    with pytest.raises(UnusableInput) as caught:
        read_probe(folder, content)
    assert says in str(caught.value)
    assert "\n" not in str(caught.value)


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


@pytest.mark.parametrize("size", [1, 7, 30, 31, 64, 1000])
def test_blocks_of_any_size_give_the_same_rows_and_lines(folder, monkeypatch, size):
    day = "2026-10-05T09:0"
    content = f"time,celsius\r\n{day}0:00Z,1\r\n\r\nbad\r\n{day}1:00Z,2\r\n{day}2:00Z,3"
    monkeypatch.setattr(lines, "BLOCK", size)
    probe, problems = read_probe(folder, content)
    assert probe["celsius"].tolist() == [1.0, 2.0, 3.0]
    assert problems == ["probe.csv line 4: 'bad' is not a time such as 2026-10-05T09:00:00Z"]


def test_a_line_without_end_costs_itself_and_no_memory(folder):
    content = b"time,celsius\n2026-10-05T09:00Z,1\n" + b"9" * 100_000_000 + b"\n2026-10-05T09:01Z,2\n"
    tracemalloc.start()
    probe, problems = read_probe(folder, content)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert probe["celsius"].tolist() == [1.0, 2.0]
    assert problems == ["probe.csv line 3: the line is longer than 65536 bytes"]
    assert peak < 2 * len(content)  # the content itself is held by this test


@pytest.mark.parametrize(
    "unit", ["C", " C", "°C", " °C", "  C", " c", "°", " Cel", "F", "°K", "CC", "Â", "°°C"]
)
@pytest.mark.parametrize("encoding", ["utf-8", "latin-1"])
def test_units_read_together_equal_units_read_singly(folder, unit, encoding):
    together, said = read_probe(folder, f"time,celsius\n2026-10-05T09:00Z,12.5{unit}\n".encode(encoding))
    singly, also = read_probe(folder, f'time,celsius\n2026-10-05T09:00Z,"12.5{unit}"\n'.encode(encoding))
    pd.testing.assert_frame_equal(together, singly)
    assert said == also


@settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=30),
    st.sampled_from(["{!r}", "{:.4f}", "{:g}", "{:.0f}"]),
)
def test_values_read_together_equal_values_read_singly(tmp_path, values, form):
    texts = [form.format(value) for value in values]
    path = tmp_path / "probe.csv"
    path.write_text(
        "time,celsius\n" + "".join(f"2026-10-05T09:00:{s:02}Z,{t}\n" for s, t in enumerate(texts))
    )
    together = samples.read_samples(path, CHICAGO, Problems("probe.csv"))
    path.write_text(
        "time,celsius\n" + "".join(f'"2026-10-05T09:00:{s:02}Z",{t}\n' for s, t in enumerate(texts))
    )
    singly = samples.read_samples(path, CHICAGO, Problems("probe.csv"))
    pd.testing.assert_frame_equal(together, singly, check_exact=True)
    assert together["celsius"].tolist() == [float(text) for text in texts]


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


ALL = {
    "probe": (
        "time,celsius\n2026-10-05T14:00:00Z,12.5\n2026-10-05T14:00:30.250000Z,-0.0625\n"
        "2026-10-06T14:00:00Z,85\n"
    ),
    "probe-tree": "time,celsius\n2026-10-05T14:00:00Z,12\n",
    "weather": "time,celsius\n2026-10-05T14:00:00Z,11.11111111111111\n",
    "readings": (
        f"{READING},time,waited,note\n"
        '2026-10-05,morning,Alder,7,"12,5",54F,09:05,5,"said ""windy"", twice"\n'
        "2026-10-05,afternoon,Silver Birch,blue,−3,absent,,,\n"
        "2026-10-05,afternoon,Silver Birch,,,broken,14:05:30,2.5,ä\n"
    ),
    "coaching": "team,date,topic\nAlder,2026-10-26,eye line\n",
    "pairs": "team,date,change\nAlder,2026-10-19,new pair\n",
    "edits": (
        "at,by,table,row,column,old,new,reason\n"
        '2026-10-05T20:00:00.500000Z,teacher,readings,2,celsius,"1,5","12,5",typing slip\n'
    ),
    "decisions": (
        "date,session,class_value,reason\n2026-10-05,morning,12.5,\n2026-10-05,afternoon,,no agreement\n"
    ),
    "sessions": "date,session,held,reason,shadow,air\n2026-10-05,morning,yes,,faint,leaves\n",
    "shadow": "time,shadow\n2026-10-05T14:00:00Z,yes\n",
    "opening": "azimuth,elevation\n205,5\n235,26.5\n",
    "rejected": 'time,line,reason\n2026-10-05T14:00:00Z,"T=ERR, ""x""",no number\n',
    "checks": (
        "date,kind,thermometer,scale,reader,reference,reading\n"
        "2026-10-01,bucket,7,celsius,1,12.5,13\n2026-10-01,ice,8,celsius,2,0,\n"
    ),
}  # fmt: skip


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


@pytest.mark.long
@pytest.mark.parametrize("stamp", ["T{}Z", " {}"])
def test_a_year_of_seconds_is_read_within_its_memory(tmp_path, stamp):
    rows = 31_000_000
    path = tmp_path / "probe.csv"
    with path.open("w") as file:
        file.write("time,celsius\n")
        for day in range(rows // 86_400 + 1):
            date = dt.date(2025, 10, 5) + dt.timedelta(days=day)
            file.writelines(
                f"{date}{stamp.format(f'{second // 3600:02}:{second // 60 % 60:02}:{second % 60:02}')},"
                f"{second % 400 / 16}\n"
                for second in range(min(86_400, rows - day * 86_400))
            )
    code = (
        "import sys, resource, pathlib; from zoneinfo import ZoneInfo; from station import recording; "
        "frames = recording.read(sys.argv[1], ZoneInfo('America/Chicago')); "
        "print(len(frames.probe), resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)"
    )
    done = subprocess.run([sys.executable, "-c", code, tmp_path], capture_output=True, text=True, check=True)
    read, peak_kb = map(int, done.stdout.split())
    assert read == rows - (3600 if stamp.startswith(" ") else 0)  # the hour that clocks jump over in spring
    assert peak_kb < 3_000_000  # sixteen bytes a row are 0.5 GB; the rest is lines, masks and sorting
