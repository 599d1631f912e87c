"""``station site`` from the command line."""

import datetime as dt
import json
import shutil
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from station.base.sun import position
from station.cli import cli

RECORDINGS = Path(__file__).parents[2] / "recordings"
LARCH = RECORDINGS / "larch-lane"


@pytest.fixture(scope="module")
def document() -> dict:
    result = CliRunner().invoke(cli, ["site", str(LARCH), "--json", "--weeks", "2"])
    assert result.exit_code == 0, result.output
    return json.loads(result.stdout)


def test_the_document_has_the_keys_that_others_rely_on(document):
    assert document["schema"] == 1
    assert document["verdict"] in ("shaded", "sunlit", "undecided")
    for day in document["days"]:
        assert {"date", "clear", "logged", "spans"} <= day.keys()
        assert 0 <= day["clear"] <= 1
        assert 0 <= day["logged"] <= 1
        for span in day["spans"]:
            assert span["from"] < span["to"]
            assert {"probability", "excess"} <= span.keys()
    for opening in document["openings"]:
        assert {
            "azimuth_from",
            "azimuth_to",
            "elevation_from",
            "elevation_to",
            "probability",
        } <= opening.keys()
    assert len(document["forecast"]) == 2 * 5 * 2


def test_larch_lane_is_never_called_shaded_and_its_late_sessions_are_in_the_sun(document):
    assert document["verdict"] != "shaded"
    lit = {(s["date"], s["session"]) for s in document["sessions"] if s["sunlit_probability"] > 0.5}
    assert {("2026-11-11", "afternoon"), ("2026-11-13", "afternoon")} <= lit
    assert not any(part == "morning" for _, part in lit)


def test_a_record_that_ends_with_school_shows_its_opening_once_and_begins_it_where_it_is():
    """The scenario's opening begins at an azimuth of 205 degrees; the end of school cuts it on many days."""
    folder = RECORDINGS / "larch-lane-school-days"
    result = CliRunner().invoke(cli, ["site", str(folder), "--json", "--weeks", "1"])
    found = json.loads(result.stdout)
    assert len(found["openings"]) == 1
    assert abs(found["openings"][0]["azimuth_from"] - 205.0) < 2.5
    dates = [day["date"] for day in found["calendar"]]
    assert len(dates) == 7
    assert len(set(dates)) == 7
    for day in found["calendar"]:
        at = dt.datetime.fromisoformat(day["from"]).astimezone(dt.UTC).replace(tzinfo=None)
        sun = position(np.array([np.datetime64(at, "us")]), 44.3, -91.4)
        assert abs(float(sun.azimuth_deg[0]) - 205.0) < 2.5


def test_october_alone_forecasts_the_sun_of_the_first_session_after_the_clocks_go_back(tmp_path):
    """A clear sky lights the place from 13:36 to 15:33 on 2 Nov, by the scenario's opening and sun."""
    folder = tmp_path / "october"
    shutil.copytree(LARCH, folder)
    header, *lines = (folder / "probe.csv").read_text(encoding="utf-8").splitlines()
    kept = [line for line in lines if line[:10] <= "2026-10-30"]
    (folder / "probe.csv").write_text("\n".join([header, *kept]) + "\n", encoding="utf-8")
    result = CliRunner().invoke(cli, ["site", str(folder), "--json", "--weeks", "1"])
    first = next(
        f
        for f in json.loads(result.stdout)["forecast"]
        if f["date"] == "2026-11-02" and f["session"] == "afternoon"
    )
    assert first["sunlit_probability"] > 0.9
    for name, clock in (("from", "13:36"), ("to", "15:33")):
        found, true = (dt.datetime.fromisoformat(t) for t in (first[name], f"2026-11-02T{clock}:00-06:00"))
        assert abs(found - true) <= dt.timedelta(minutes=10)
        low, high = (dt.datetime.fromisoformat(first[f"{name}_{side}"]) for side in ("low", "high"))
        assert low < found < high
        assert low - dt.timedelta(minutes=5) <= true <= high + dt.timedelta(minutes=5)


def test_words_and_pictures(tmp_path):
    result = CliRunner().invoke(cli, ["site", str(LARCH), "--out", str(tmp_path)])
    assert result.exit_code == 0, result.output
    assert "look at the shadow" in result.stdout
    names = sorted(p.name for p in tmp_path.glob("*.png"))
    assert names == [
        "picture-clear-day.png",
        "picture-sky-map.png",
        "picture-sun-calendar.png",
        "picture-sun-days.png",
    ]


def test_rows_not_used_are_said_with_file_and_line_and_cards_are_left_to_the_check(tmp_path):
    for name in ("station.toml", "probe.csv"):
        (tmp_path / name).write_bytes((LARCH / name).read_bytes())
    (tmp_path / "shadow.csv").write_text("time,shadow\n" + "hello,yes\n" * 7)
    (tmp_path / "readings.csv").write_text("date,session,team,celsius\nnever,morning,fox,9.5\n")
    result = CliRunner().invoke(cli, ["site", str(tmp_path), "--weeks", "1"])
    assert result.exit_code == 0, result.output
    assert "shadow.csv line 2: 'hello' is not a time" in result.stdout
    assert "2 more; station check FOLDER --out DIR" in result.stdout
    assert "readings.csv" not in result.stdout


def test_a_place_without_coordinates_is_one_clear_sentence(tmp_path):
    (tmp_path / "station.toml").write_text('[site]\ntimezone = "Europe/Berlin"\n')
    (tmp_path / "probe.csv").write_text("time,celsius\n2026-10-05T08:00:00Z,9.5\n")
    result = CliRunner().invoke(cli, ["site", str(tmp_path)])
    assert result.exit_code != 0
    assert "latitude" in str(result.exception)


def test_an_empty_record_is_undecided(tmp_path):
    text = '[site]\ntimezone = "Europe/Berlin"\nlatitude = 50\nlongitude = 8\n'
    (tmp_path / "station.toml").write_text(text)
    (tmp_path / "probe.csv").write_text("time,celsius\n")
    result = CliRunner().invoke(cli, ["site", str(tmp_path), "--json"])
    assert result.exit_code == 0, result.output
    assert json.loads(result.stdout)["verdict"] == "undecided"
