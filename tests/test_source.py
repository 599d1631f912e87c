import dataclasses

import pytest

import station
from station.base.exceptions import UnusableInput

ZONE = '[site]\ntimezone = "America/Chicago"\n[[teams]]\nname = "Alder"\n'
READINGS = "date,session,team,thermometer,celsius,fahrenheit\n2026-10-05,noon,alder,7,12,54\n"


def test_a_folder_opens_as_one_frozen_thing(tmp_path):
    place = tmp_path / "larch"
    place.mkdir()
    (place / "station.toml").write_text(ZONE + '[sessions]\nNoon = { start = "12:00" }\n')
    (place / "readings.csv").write_text(READINGS)
    (place / "probe.csv").write_text("time,celsius\n2026-10-05 12:00,12.5\n")
    seen = []
    found = station.open(place, progress=lambda done, total: seen.append((done, total)))
    assert (found.name, found.path) == ("larch", place)
    assert found.settings.teams == ("Alder",)
    assert found.frames.readings[["session", "team"]].to_numpy().tolist() == [["Noon", "Alder"]]
    assert found.frames.probe["time"].dt.hour.tolist() == [17]
    assert found.frames.problems == ()
    assert seen[-1] == (seen[-1][1],) * 2
    with pytest.raises(dataclasses.FrozenInstanceError):
        found.name = "oak"


def test_what_is_no_recording_is_one_sentence(tmp_path):
    with pytest.raises(UnusableInput, match=r"there is no station\.toml in"):
        station.open(tmp_path)
    with pytest.raises(UnusableInput, match="there is no folder"):
        station.open(tmp_path / "nowhere")
    (tmp_path / "book.sqlite").write_bytes(b"SQLite format 3\0")
    with pytest.raises(UnusableInput, match="is not a book"):
        station.open(tmp_path / "book.sqlite")
