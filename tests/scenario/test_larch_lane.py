import csv
import datetime as dt
import json
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from click.testing import CliRunner

from station.base.exceptions import UnusableInput
from station.base.sun import position
from station.cli.demo import demo
from station.recording import read
from station.scenario.larch_lane import larch_lane
from station.scenario.play import play
from station.settings import load

ROOT = Path(__file__).resolve().parents[2]
TRUTH = json.loads(Path(__file__).with_name("larch-lane-truth.json").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def played():
    return play(larch_lane())


@pytest.fixture(scope="module")
def table(played):
    readings = played.frames.readings[["date", "session", "team", "thermometer", "celsius", "fahrenheit"]]
    return pd.concat([readings, played.truth], axis=1)


@pytest.mark.parametrize(
    ("name", "options"), [("larch-lane", []), ("larch-lane-school-days", ["--school-days"])]
)
def test_committed_recording_equals_what_the_wheel_makes(name, options, tmp_path):
    folder = ROOT / "recordings" / name
    made = tmp_path / name
    result = CliRunner().invoke(demo, [str(made), *options])
    assert result.exit_code == 0, result.output
    assert sorted(path.name for path in made.iterdir()) == sorted(path.name for path in folder.iterdir())
    for file in sorted(path.name for path in made.iterdir()):
        text, kept = ((where / file).read_bytes().decode("utf-8") for where in (made, folder))
        if file != "probe.csv":
            assert text == kept, file
            continue
        # Another platform's cosine may differ in the last bit and move a value that lies on the edge of a
        # step by one step, so stamps are equal and values within one step, almost all of them the same.
        ours, theirs = (list(csv.reader(t.splitlines()[1:])) for t in (text, kept))
        assert [row[0] for row in ours] == [row[0] for row in theirs]
        difference = np.abs(np.array([float(a[1]) - float(b[1]) for a, b in zip(ours, theirs, strict=True)]))
        assert difference.max() <= 0.0625
        assert np.mean(difference > 0) < 1e-4


@pytest.mark.parametrize(
    ("day", "zone_hours", "span"),
    [
        ("2026-10-05", 5, ("15:57", "16:08")),
        ("2026-10-19", 5, ("15:19", "16:20")),
        ("2026-10-30", 5, ("14:46", "16:30")),
        ("2026-11-02", 6, ("13:36", "15:33")),
        ("2026-11-13", 6, ("13:26", "15:44")),
    ],
)
def test_sun_stands_in_the_opening_when_the_plan_says(day, zone_hours, span):
    plan = larch_lane()
    times = np.datetime64(day) + np.timedelta64(zone_hours, "h") + np.arange(1440) * np.timedelta64(1, "m")
    azimuth, elevation = position(times, plan.site.latitude, plan.site.longitude, elevation_m=220.0)
    low, high = plan.window.azimuth, plan.window.elevation
    lit = (azimuth >= low[0]) & (azimuth <= low[1]) & (elevation >= high[0]) & (elevation <= high[1])
    minutes = np.flatnonzero(lit)
    expected = [int(clock[:2]) * 60 + int(clock[3:]) for clock in span]
    assert minutes[0] == pytest.approx(expected[0], abs=1)
    assert minutes[-1] == pytest.approx(expected[1], abs=1)


def test_every_truth_is_there_often_enough(table):
    count = table.groupby(["team", "slip"]).size()
    assert count["Holly", "scales_swapped"] == 6
    assert 11 <= count["Oak", "ten_off"] <= 13
    assert count["Elm", "small_marks"] >= 30
    assert count["Beech", "scale_missing"] == 1
    minus = table[(table["team"] == "Rowan") & (table["slip"] == "minus_dropped")]
    assert (minus["air_c"] <= -2).sum() >= 5
    manner = table.groupby(["team", "manner"]).size()
    assert manner["Willow", "converted_not_read"] >= 50
    assert manner["Pine", "rounded"] >= 35
    maple = table[(table["team"] == "Maple") & table["air_c"].notna()]
    assert (maple["column_kind"] == "eye_line").sum() >= 25
    assert (maple.loc[maple["column_kind"] == "eye_line", "true_date"] < dt.date(2026, 10, 26)).all()
    assert (maple["true_date"] >= dt.date(2026, 10, 26)).sum() >= 25
    assert (table["slip"] != "").sum() == (
        6 + count["Oak", "ten_off"] + count["Elm", "small_marks"] + 1 + len(minus)
    )


def test_cold_sessions_and_the_sun_after_the_clock_change(table):
    sessions = table.dropna(subset=["air_c"]).groupby(["true_date", "true_session"])
    air, sun = sessions["air_c"].median(), sessions["sun_c"].max()
    assert (air <= -2).sum() >= 5
    assert len(air) == 60
    sunny = sun[sun > 1.5].reset_index()
    assert len(sunny) >= 4
    assert (sunny["true_date"] >= dt.date(2026, 11, 2)).all()
    assert set(sunny["true_session"]) == {"afternoon"}


def test_day_one_has_no_numbers_and_absences_are_about_six_percent(table):
    assert (table.loc[table["true_date"] == dt.date(2026, 10, 5), "thermometer"] == "").all()
    there = table["air_c"].notna()
    assert (table.loc[there & (table["true_date"] > dt.date(2026, 10, 5)), "thermometer"] != "").all()
    assert 0.04 < 1 - there.sum() / (60 * 14) < 0.08


def test_mixed_up_cards_differ_enough_to_be_found(table):
    there = table.dropna(subset=["air_c"])
    air = there.groupby(["true_date", "true_session"])["air_c"].median()
    assert abs(air[dt.date(2026, 10, 14), "morning"] - air[dt.date(2026, 10, 14), "afternoon"]) > 4
    crossed = there[there["true_date"] == dt.date(2026, 10, 14)]
    assert (crossed["session"] != crossed["true_session"]).all()
    moved = there[there["date"] != there["true_date"]]
    assert set(moved["team"]) == {"Beech", "Cedar", "Willow"}
    assert set(moved["date"]) == {dt.date(2026, 10, 21)}
    assert set(moved["true_date"]) == {dt.date(2026, 10, 22)}


def test_probe_troubles_lie_where_the_plan_says(played):
    probe = played.frames.probe
    assert probe["time"].is_monotonic_increasing
    assert probe["time"].is_unique
    local = probe.set_index(probe["time"].dt.tz_convert(played.plan.site.zone))["celsius"]
    assert local.loc["2026-10-15 06:40":"2026-10-15 12:09"].empty
    assert (local.loc["2026-10-20"] == 85.0).all()
    assert local.loc["2026-10-27"].between(18.5, 22.5).all()
    readings = played.frames.readings.join(played.truth)
    for day, shift in (("2026-11-03", 60), ("2026-11-09", 0)):
        morning = readings[
            (readings["date"] == dt.date.fromisoformat(day)) & (readings["session"] == "morning")
        ]
        clock = pd.Timestamp(f"{day} 09:08", tz=played.plan.site.zone) + pd.Timedelta(minutes=shift)
        near = local.loc[clock - pd.Timedelta(minutes=4) : clock + pd.Timedelta(minutes=4)]
        assert near.mean() - 0.2 == pytest.approx(morning["air_c"].mean(), abs=0.35)


def test_truth_file_matches_the_plan(played):
    rows = TRUTH["rows"]
    assert len(rows) == len(played.truth)
    assert [row["slip"] for row in rows] == played.truth["slip"].tolist()
    assert TRUTH["thermometers"]["7"]["offset_c"] == 1.6
    assert TRUTH["thermometers"]["11"]["plate_f"] == -4.0


def test_settings_do_not_tell_what_is_planted(played):
    text = played.settings_text.lower()
    assert "[[clock]]" not in text
    for word in ("offset", "eye", "swap", "plate", "habit"):
        assert word not in text


def test_demo_refuses_a_full_folder(tmp_path):
    folder = tmp_path / "larch"
    folder.mkdir()
    (folder / "readings.csv").write_text("mine", encoding="utf-8")
    again = CliRunner().invoke(demo, [str(folder)])
    assert isinstance(again.exception, UnusableInput)
    assert "not empty" in str(again.exception)


def test_recording_reads_back_without_a_problem_as_the_frames_played(played):
    settings = load(ROOT / "recordings" / "larch-lane" / "station.toml")
    frames = read(ROOT / "recordings" / "larch-lane", settings.site.zone, teams=settings.teams)
    assert frames.problems == ()
    pd.testing.assert_frame_equal(frames.readings, played.frames.readings)
    assert len(frames.probe) == len(played.frames.probe)
    assert settings.teams == tuple(team.name for team in played.plan.teams)
