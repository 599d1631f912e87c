import datetime as dt
from zoneinfo import ZoneInfo

import pandas as pd
import pytest

from station import recording
from station.record.columns import READINGS, SAMPLES, check

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
