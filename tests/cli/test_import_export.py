from __future__ import annotations

import filecmp
from pathlib import Path

import pandas as pd
import pytest
from click.testing import CliRunner

from station import source
from station.base.exceptions import UnusableInput
from station.cli import cli

TEXT = """# Alder sits at the window
[site]
timezone = "America/Chicago"

[[teams]]
name = "Alder"

[[teams]]
name = "Oak"

[box]
lowest = -30
"""
FILES = {
    "README.md": "Invented. Alder was here.\n",
    "probe.log": "12:00:00 -> T = 21.5\n",
    "probe.csv": "time,celsius\n2026-10-05T13:00:00Z,12.5\n2026-10-06T13:00:10Z,12.5625\n",
    "probe-roof.csv": "time,celsius\n2026-10-05T13:00:00Z,-0.5\n",
    "weather.csv": "time,celsius\n2026-10-05T13:00:00Z,11\n",
    "coaching.csv": "team,date,topic\nOak,2026-10-06,eye line\n",
    "pairs.csv": "team,date,change\nOak,2026-10-06,new pair\n",
    "edits.csv": "at,by,table,row,column,old,new,reason\n"
                 "2026-10-05T15:00:00Z,teacher,readings,3,celsius,21,12,card\n",
    "decisions.csv": "date,session,class_value,reason\n"
                     "2026-10-05,morning,12.5,\n2026-10-06,morning,12,after Oak asked\n",
    "sessions.csv": "date,session,held,reason,shadow,air\n2026-10-05,morning,yes,,no,still\n",
    "shadow.csv": "time,shadow\n2026-10-05T19:00:00Z,faint\n",
    "opening.csv": "azimuth,elevation\n205,5\n235.5,26\n",
    "rejected.csv": 'time,line,reason\n2026-10-05T13:00:20Z,"nan, ""x"" ;",not a number\n',
    "checks.csv": "date,kind,thermometer,scale,reader,reference,reading\n"
                  "2026-10-01,ice,7,celsius,teacher,0,0.5\n",
}  # fmt: skip
READINGS = "date,session,team,thermometer,celsius,fahrenheit,time,waited,note\n" + "".join(
    f"2026-10-05,{part},{team},{number},{c},{f},{time},{waited},{note}\n"
    for part, team, number, c, f, time, waited, note in [
        ("morning", "Alder", "7", '"12,5"', "54", "09:05", "5", "windy"),
        ("morning", "Oak", "11", "-", "absent", "", "", ""),
        ("morning", "Elm", "3", "13", "55", "09:06:30", "", ""),
        ("morning", "Fir", "4", "−1", "31", "", "4.5", ""),
        ("morning", "Ash", "", "12 C", "54", "", "", ""),
        ("afternoon", "Alder", "7", "14", "57", "", "", ""),
    ]
)


@pytest.fixture
def folder(tmp_path):
    folder = tmp_path / "recording"
    folder.mkdir()
    for name, text in {**FILES, "station.toml": TEXT, "readings.csv": READINGS}.items():
        (folder / name).write_text(text, encoding="utf-8", newline="\n")
    return folder


def run(*arguments):
    result = CliRunner().invoke(cli, [str(argument) for argument in arguments], catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return result.output


def equal(one, other):
    assert one.settings == other.settings
    assert one.frames.probes.keys() == other.frames.probes.keys()
    assert one.frames.tables.keys() == other.frames.tables.keys()
    for name in one.frames.probes:
        pd.testing.assert_frame_equal(one.frames.probes[name], other.frames.probes[name])
    for name in one.frames.tables:
        pd.testing.assert_frame_equal(one.frames.tables[name], other.frames.tables[name])
    pd.testing.assert_frame_equal(one.frames.readings, other.frames.readings)
    pd.testing.assert_frame_equal(one.frames.weather, other.frames.weather)


def test_folder_to_book_to_folder_is_identity(folder, tmp_path):
    run("import", tmp_path / "class.book", folder)
    equal(source.open(folder), source.open(tmp_path / "class.book"))
    run("export", tmp_path / "class.book", tmp_path / "back")
    assert {path.name for path in folder.iterdir()} == {path.name for path in (tmp_path / "back").iterdir()}
    equal(source.open(folder), source.open(tmp_path / "back"))
    differing = filecmp.cmpfiles(
        folder, tmp_path / "back", [*FILES, "station.toml", "readings.csv"], shallow=False
    )
    assert differing[1:] == ([], [])  # byte for byte, as these files are in the form that export writes


def test_an_empty_optional_file_stays_there(folder, tmp_path):
    (folder / "coaching.csv").write_text("team,date,topic\n")
    (folder / "probe.csv").write_text("time,celsius\n")
    run("import", tmp_path / "class.book", folder)
    equal(source.open(folder), source.open(tmp_path / "class.book"))


def test_import_refuses_to_mix_two_recordings(folder, tmp_path):
    run("import", tmp_path / "class.book", folder)
    with pytest.raises(UnusableInput, match="already holds"):
        run("import", tmp_path / "class.book", folder)


def test_export_refuses_a_folder_with_something_in_it(folder, tmp_path):
    run("import", tmp_path / "class.book", folder)
    with pytest.raises(UnusableInput, match="not empty"):
        run("export", tmp_path / "class.book", folder)


def test_a_raw_capture_stands_in_for_the_probe(folder, tmp_path):
    (folder / "probe.csv").unlink()
    assert (
        "1 lines without a time"
        in CliRunner().invoke(cli, ["import", str(tmp_path / "a"), str(folder)]).output
    )
    run("import", tmp_path / "b", folder, "--date", "2026-10-05")
    probe = source.open(tmp_path / "b").frames.probe
    assert probe["celsius"].tolist() == [21.5]
    assert probe["time"].tolist() == [pd.Timestamp("2026-10-05T17:00:00Z")]


class TestClassLevel:
    def test_no_team_is_named_anywhere(self, folder, tmp_path):
        run("import", tmp_path / "class.book", folder)
        run("export", tmp_path / "class.book", tmp_path / "out", "--class-level")
        text = "".join(path.read_text(encoding="utf-8") for path in (tmp_path / "out").iterdir())
        for label in ("Alder", "Oak", "Elm", "Fir", "Ash"):
            assert label not in text
        opened = source.open(tmp_path / "out")
        assert set(opened.frames.readings["team"]) == {"class"}
        assert opened.frames.readings["session"].tolist() == ["morning"] * 5  # one reading alone is left out
        assert opened.frames.readings["celsius"].dropna().is_monotonic_increasing
        assert opened.frames.table("decisions")["reason"].tolist() == ["", ""]
        assert len(opened.frames.probe) == 2

    def test_teams_named_elsewhere_in_the_settings_stop_it(self, folder, tmp_path):
        (folder / "station.toml").write_text(TEXT + '\n[probe]\nname = "lead of Alder"\n')
        run("import", tmp_path / "class.book", folder)
        with pytest.raises(UnusableInput, match="names teams"):
            run("export", tmp_path / "class.book", tmp_path / "out", "--class-level")


def test_larch_lane_is_identity(tmp_path):
    run("demo", tmp_path / "demo")
    run("import", tmp_path / "class.book", tmp_path / "demo")
    run("export", tmp_path / "class.book", tmp_path / "back")
    names = [path.name for path in (tmp_path / "demo").iterdir()]
    assert sorted(names) == sorted(path.name for path in (tmp_path / "back").iterdir())
    assert filecmp.cmpfiles(tmp_path / "demo", tmp_path / "back", names, shallow=False)[1:] == ([], [])


def test_other_files_are_refused_in_one_sentence(tmp_path):
    path = Path(tmp_path / "notes.txt")
    path.write_text("hello")
    with pytest.raises(UnusableInput, match="not a book"):
        source.open(path)
