"""Long files: blocks, lines without end, values read together."""

from __future__ import annotations

import datetime as dt
import subprocess
import sys
import tracemalloc

import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from station.recording import lines, samples
from station.recording.problems import Problems

from .conftest import CHICAGO, read_probe


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
