import dataclasses
import datetime as dt
import tomllib
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

from station.base.exceptions import UnusableInput
from station.record import model
from station.settings import KEYS, Settings, load, parse

ZONE = '[site]\ntimezone = "America/Chicago"\n'
FULL = """\
[site]
name = "roofed walk"
latitude = "44.3 N"
longitude = "91.4 W"
elevation = 220
timezone = "America/Chicago"

[school]
first = "2026-10-05"
last = 2026-11-13
weekdays = ["mon", "Tuesday"]
day = { start = "08:00", end = "15:00" }
closed = ["2026-10-12"]
class_scale = "both"
class_rule = "median"

[probe]
name = "grey lead"
accuracy = "0.9 degF"
resolution = 0.1
correction = -0.2
correction_uncertainty = 0.05
time_constant = 30

[probes.tree]
role = "open"

[sessions]
indoor = "68 degF"
thermometers = "waiting outside"
early = { start = "08:30", minutes = 10 }
noon = { start = 12:00:00 }
late = { start = "14:00", minutes = 20 }

[[teams]]
name = "Alder"

[[teams]]
name = 7

[box]
celsius_division = 0.5
accuracy = 1.0

[[thermometers]]
number = "7"
retired = "2026-11-01"

[[thermometers]]
number = 11
band = "close"

[[clock]]
from = "2026-11-02"
to = "2026-11-06"
shift_minutes = -60
"""


def refused(text):
    with pytest.raises(UnusableInput) as caught:
        parse(text)
    sentence = str(caught.value)
    assert "\n" not in sentence
    return sentence


def test_everything_a_file_can_say():
    found = parse(FULL)
    assert found.site == model.Site(ZoneInfo("America/Chicago"), "roofed walk", 44.3, -91.4, 220.0)
    assert found.school == model.School(
        first=dt.date(2026, 10, 5),
        last=dt.date(2026, 11, 13),
        weekdays=(0, 1),
        day_start=dt.time(8),
        day_end=dt.time(15),
        closed=frozenset({dt.date(2026, 10, 12)}),
        class_scale="both",
        class_rule="median",
    )
    assert found.probe() == model.Probe("grey lead", "place", pytest.approx(0.5), 0.1, -0.2, 0.05, 30.0)
    assert found.probe("tree") == model.Probe("tree", "open")
    assert found.sessions.indoor_c == pytest.approx(20.0)
    assert found.sessions.thermometers == "waiting outside"
    assert found.sessions.parts == (
        model.SessionPart("early", dt.time(8, 30), 10.0),
        model.SessionPart("noon", dt.time(12), 15.0),
        model.SessionPart("late", dt.time(14), 20.0),
    )
    assert found.teams == ("Alder", "7")
    assert found.box.celsius_division == 0.5
    seven, eleven = found.thermometer("7"), found.thermometer("11")
    assert (seven.celsius_division, seven.accuracy_c, seven.retired) == (0.5, 1.0, dt.date(2026, 11, 1))
    assert (eleven.accuracy_c, eleven.band) == (None, "close")
    assert found.thermometer("3") == dataclasses.replace(found.box, number="3")
    assert found.clock == (model.ClockShift(dt.date(2026, 11, 2), dt.date(2026, 11, 6), -60.0),)
    assert found.text == FULL


def test_a_time_zone_is_enough():
    assert parse(ZONE) == Settings(model.Site(ZoneInfo("America/Chicago")), text=ZONE)


def test_a_probe_that_is_not_described_has_the_defaults():
    found = parse(ZONE)
    assert found.probe() == model.Probe()
    assert found.probe("tree") == model.Probe("tree", "candidate")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", '[site] timezone is missing, such as "America/Chicago"'),
        ("[site]\nlatitude = 44", "[site] timezone is missing"),
        ("[site\n", "station.toml"),
        ('[site]\nname = "x\n', "station.toml line 2:"),
        ('[site]\ntimezone = "Larch/Lane"', 'line 2: [site] timezone is "Larch/Lane", which is no time zone'),
        ('[site]\ntimezone = "America"', "which is no time zone"),
        ('[site]\ntimezone = "../../etc/passwd"', "which is no time zone"),
        ("[site]\ntimezone = 5", "[site] timezone is 5, but must be a name"),
        ('[site]\ntimezon = "UTC"',
         'line 2: [site] timezon is not a key that is known; did you mean "timezone"?'),
        (ZONE + "[probes.a]\nacuracy = 1",
         'line 4: [probes.a] acuracy is not a key that is known; did you mean'),
        (ZONE + "[sesions]\n", 'line 3: sesions is not a key that is known; did you mean "sessions"?'),
        (ZONE + "zzz = 1", "[site] zzz is not a key that is known"),
        (ZONE + "latitude = 91", "line 3: [site] latitude is 91, but must be from -90 to 90 degrees north"),
        (ZONE + "latitude = nan", "latitude is nan"),
        (ZONE + "longitude = -inf", "longitude is -inf"),
        (ZONE + 'latitude = "44.3 W"', "must be degrees such as 44.3"),
        (ZONE + 'latitude = "-44.3 S"', "must be degrees such as 44.3"),
        (ZONE + "elevation = true", "elevation is True, but must be a number"),
        (ZONE + "elevation = 1" + "0" * 400, "elevation is inf"),
        (ZONE + "elevation = 1" + "0" * 5000, "station.toml"),
        (ZONE + "name = 5", "name is 5, but must be a text in quotes"),
        (ZONE + 'name = " "', "name is empty"),
        ("site = 5", "site must be a table [site]"),
        (ZONE + '[school]\nweekdays = ["mon", "moon"]', 'weekdays names "moon"'),
        (ZONE + "[school]\nweekdays = []", "weekdays names no day"),
        (ZONE + '[school]\nweekdays = "mon"', "must be a list"),
        (ZONE + '[school]\nfirst = "5 Oct"', 'must be a date such as "2026-10-05"'),
        (ZONE + '[school]\nfirst = "2026-02-30"', "must be a date"),
        (ZONE + "[school]\nfirst = 2026-10-05T00:00:00", "must be a date"),
        (ZONE + '[school]\nfirst = "2026-10-05"\nlast = "2026-10-04"',
         "line 5: [school] last is before first"),
        (ZONE + '[school]\nday = { start = "15:00", end = "08:00" }', "day must end after it starts"),
        (ZONE + '[school]\nday = "08:00"', "day must be { start"),
        (ZONE + '[school]\nclass_rule = "best"', 'can be "most common", "median" or "mean"'),
        (ZONE + '[school]\nclosed = ["soon"]', "closed is"),
        (ZONE + "[probe]\naccuracy = 0", "accuracy is 0, but must be above 0 to 20 degC"),
        (ZONE + '[probe]\naccuracy = "0.9 volts"', 'must be a number in degC or such as "0.9 degF"'),
        (ZONE + "[probe]\ncorrection_uncertainty = -1", "must be from 0 to 20 degC"),
        (ZONE + '[probes.tree]\nrole = "shade"', '[probes.tree] role is "shade"'),
        (ZONE + "[probes]\ntree = 5", "must be a table [probes.tree]"),
        (ZONE + '[sessions]\nmorning = { start = "9am" }', "must be a clock time"),
        (ZONE + '[sessions]\nmorning = { start = "25:00" }', "must be a clock time"),
        (ZONE + "[sessions]\nmorning = { minutes = 5 }", "line 4: [sessions] morning has no start"),
        (ZONE + '[sessions]\nmorning = { start = "09:00", minutes = 0 }',
         "minutes is 0, but must be above 0"),
        (ZONE + '[sessions]\na = { start = "09:00" }\nA = { start = "10:00" }',
         "[sessions] A is there twice"),
        (ZONE + '[sessions]\na = { start = "09:00" }\nb = { start = "09:10" }', "b starts before a ends"),
        (ZONE + '[sessions]\nmorning = "09:00"', "[sessions] morning is not a key"),
        (ZONE + 'teams = ["Alder"]', "[site] teams is not a key"),
        ('teams = ["Alder"]\n' + ZONE, "line 1: teams must be written as [[teams]]"),
        (ZONE + '[[teams]]\nname = "Alder"\n[[teams]]\nname = " alder"', '"alder" is there twice'),
        (ZONE + "[[teams]]\n", "[[teams]] name is missing"),
        (ZONE + "[box]\ncelsius_division = -1", "line 4: [box] celsius_division is -1, but must be above 0"),
        (ZONE + "[box]\nlowest = 50\nhighest = 40", "[box] highest must be above lowest"),
        (ZONE + '[box]\naccuracy = 1\nband = "close"', "band and accuracy are both given"),
        (ZONE + '[box]\nband = "narrow"', '[box] band is "narrow", but can be "eo14-1", '),
        (ZONE + '[box]\nnumber = "7"', "[box] number is not a key"),
        (ZONE + "[[thermometers]]\nlowest = 0", "number is missing"),
        (ZONE + '[[thermometers]]\nnumber = "7"\n[[thermometers]]\nnumber = 7', '"7" is there twice'),
        (ZONE + '[[clock]]\nfrom = "2026-11-02"\nto = "2026-11-06"', "[[clock]] shift_minutes is missing"),
        (ZONE + '[[clock]]\nfrom = "2026-11-02"\nto = "2026-11-01"\nshift_minutes = 60', "to is before from"),
        (ZONE + '"a\\nb" = 1', "[site] a b is not a key"),
        (ZONE + "x = " + "[" * 100_000, "station.toml"),
    ],
)  # fmt: skip
def test_what_cannot_be_meant_is_one_sentence(text, says):
    assert says in refused(text)


@hypothesis_settings(deadline=None)
@given(
    st.sampled_from(KEYS),
    st.sampled_from(["[]", "{}", "0", "-1e99", "nan", '""', '"\\u0000"', "true", "1979-05-27"]),
)
def test_any_value_under_any_key_is_read_or_refused(key, value):
    section = {"teams": "[[teams]]", "clock": "[[clock]]", "thermometers": "[[thermometers]]"}.get(
        key.section, "[sessions.noon]" if key.section == "part" else f"[{key.section}]"
    )
    text = f"{section}\n{key.name} = {value}\n"
    try:
        parse(text if key.section == "site" else ZONE + text)
    except UnusableInput as trouble:
        assert "\n" not in str(trouble)  # noqa: PT017 - both ways are right, one of them has a form


@given(st.text())
def test_any_text_is_read_or_refused(text):
    try:
        parse(text)
    except UnusableInput as trouble:
        assert str(trouble).startswith("station.toml")  # noqa: PT017


def test_the_table_of_keys_says_the_defaults_that_are_used():
    made = {
        "site": model.Site(ZoneInfo("UTC")),
        "school": model.School(),
        "probe": model.Probe(),
        "sessions": model.Sessions(),
        "part": parse(ZONE + '[sessions]\nnoon = { start = "12:00" }').sessions.parts[0],
        "box": model.Thermometer(),
    }
    for key in KEYS:
        if key.section not in made or key.default == "-":
            continue
        value = tomllib.loads(f"default = {key.default}")["default"]
        if key.kind == "weekdays":
            value = tuple(["mon", "tue", "wed", "thu", "fri", "sat", "sun"].index(day) for day in value)
        if key.kind == "hours":
            school = made["school"]
            assert (f"{school.day_start:%H:%M}", f"{school.day_end:%H:%M}") == (value["start"], value["end"])
            continue
        assert getattr(made[key.section], key.field) == (frozenset() if key.kind == "dates" else value), (
            key.name
        )
        assert key.reason


def test_a_file_is_loaded_with_its_mark_and_line_ends(tmp_path):
    path = tmp_path / "station.toml"
    path.write_bytes(b"\xef\xbb\xbf" + ZONE.replace("\n", "\r\n").encode())
    assert load(path).site.zone == ZoneInfo("America/Chicago")


def test_a_file_that_cannot_be_read_is_one_sentence(tmp_path):
    with pytest.raises(UnusableInput, match=r"there is no station\.toml in"):
        load(tmp_path / "station.toml")
    (tmp_path / "station.toml").mkdir()
    with pytest.raises(UnusableInput, match=r"station\.toml is not a file"):
        load(tmp_path / "station.toml")
    (tmp_path / "latin.toml").write_bytes(ZONE.encode() + b'name = "K\xe4lte"\n')
    with pytest.raises(UnusableInput, match=r"latin\.toml line 3: not saved as UTF-8"):
        load(tmp_path / "latin.toml")
