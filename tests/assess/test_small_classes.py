"""Small classes written by hand: what is in question, the class's value, and what a session notes."""

import datetime as dt
import math

import numpy as np
import pandas as pd
import pytest

from station import settings
from station.assess import cross_check
from station.record.columns import READINGS, SAMPLES, Frames, empty

MONDAY = dt.date(2026, 10, 5)
NAN = math.nan
TEAMS = ("Alder", "Aspen", "Beech", "Cedar", "Elm", "Fir", "Hazel", "Holly")


def described(text=""):
    return settings.parse(f'[site]\ntimezone = "UTC"\n{text}')


def cards(celsius, fahrenheit=None, day=0, part="morning", numbers=None):
    """Return the cards of one session, a team each."""
    n = len(celsius)
    fahrenheit = [NAN] * n if fahrenheit is None else fahrenheit
    frame = pd.DataFrame(
        {
            "date": [MONDAY + dt.timedelta(days=day)] * n,
            "session": part,
            "team": list(TEAMS[:n]),
            "thermometer": numbers or [str(i + 1) for i in range(n)],
            "celsius": celsius,
            "fahrenheit": fahrenheit,
            "celsius_written": "",
            "fahrenheit_written": "",
            "time": pd.Series([pd.NaT] * n, dtype=READINGS["time"]),
            "waited": NAN,
            "note": "",
            "line": range(2, n + 2),
        }
    )
    return frame.astype(dict(READINGS))


def record(celsius=10.0, hours=(0, 24), minutes=1, day=0):
    """Return a quiet record of one day in UTC; ``celsius`` a number or a function of the minute."""
    start = pd.Timestamp(MONDAY, tz="UTC") + pd.Timedelta(days=day)
    at = np.arange(hours[0] * 60, hours[1] * 60, minutes)
    time = (start + pd.to_timedelta(at, unit="min")).as_unit("us")
    values = np.asarray(celsius(at) if callable(celsius) else np.full(at.size, celsius), dtype=float)
    values[::2] += np.where(values[::2] < 80.0, 0.0625, 0.0)  # air is never quite still
    return pd.DataFrame({"time": time, "celsius": values})


def checked(*sessions, text="", probe=None, **tables):
    frames = Frames(
        probes={"": empty(SAMPLES) if probe is None else probe},
        readings=pd.concat(sessions, ignore_index=True),
        tables=tables,
    )
    return cross_check(frames, described(text))


def values(found):
    return found.sessions["class_value"].tolist()


SIX = [10.0, 10.0, 10.0, 11.0, 10.0, 9.0, 10.0]
SIX_F = [50.0, 50.0, 50.0, 52.0, 50.0, 48.0, 50.0]


def test_a_class_that_reads_one_scale_at_first_has_its_value_from_the_first_day():
    found = checked(cards(SIX), cards(SIX, SIX_F, day=1))
    assert values(found) == [10.0, 10.0]
    assert not found.readings["questioned"].any()


def test_one_team_that_writes_both_scales_puts_no_other_card_in_question():
    found = checked(cards(SIX, [50.0, *[NAN] * 6]))
    assert values(found) == [10.0]
    assert not found.readings["questioned"].any()


def test_a_card_without_the_scale_that_the_others_wrote_is_in_question():
    found = checked(cards(SIX, [NAN, *SIX_F[1:]]))
    assert found.readings["questioned"].tolist() == [True] + [False] * 6


def test_cards_off_the_printed_scale_are_in_question_though_both_scales_agree():
    found = checked(cards([*SIX, 62.0], [*SIX_F, 144.0]))
    assert found.readings["questioned"].tolist() == [False] * 7 + [True]
    assert found.sessions["mean"].tolist() == [10.0]
    exactly = checked(cards([50.0, -30.0, *SIX[2:]], [122.0, -22.0, *SIX_F[2:]]))
    assert not exactly.readings["questioned"].any()


def test_a_card_whose_scales_disagree_is_in_question_unless_its_plate_slipped():
    slipped = [f - 4.0 if i == 0 else f for i, f in enumerate(SIX_F)]
    once = checked(cards(SIX, slipped))
    assert once.readings["questioned"].tolist() == [True] + [False] * 6
    always = checked(*(cards(SIX, slipped, day=day) for day in range(5)))
    assert not always.readings["questioned"].any()
    assert always.thermometers.set_index("number")["slipped"].to_dict()["1"]


@pytest.mark.parametrize(
    ("scale", "value", "other"), [("celsius", 10.0, None), ("fahrenheit", 50.0, None), ("both", 10.0, 50.0)]
)
def test_the_class_value_is_in_the_class_s_own_scale(scale, value, other):
    found = checked(cards(SIX, SIX_F), text=f'[school]\nclass_scale = "{scale}"\n')
    assert values(found) == [value]
    assert [None if v is None else float(v) for v in found.sessions["class_value_fahrenheit"]] == [other]


def test_neighbours_that_tie_are_one_mark_of_their_own_scale_apart():
    tied = cards([10.0, 10.0, 11.0, 11.0, 12.0, 13.0], [50.0, 50.0, 52.0, 52.0, 54.0, 56.0])
    assert values(checked(tied, text='[school]\nclass_scale = "fahrenheit"\n')) == [52.0]
    ones = '[school]\nclass_scale = "fahrenheit"\n[box]\nfahrenheit_division = 1\n'
    found = checked(tied, text=ones)
    assert values(found) == [None]
    assert found.sessions["notes"].tolist() == [("no_agreement",)]


@pytest.mark.parametrize(("rule", "value"), [("median", 10.5), ("mean", 12.0), ("most common", None)])
def test_the_class_s_own_rule_gives_its_value(rule, value):
    found = checked(
        cards([9.0, 10.0, 10.5, 11.0, 12.0, 21.0, 10.5]), text=f'[school]\nclass_rule = "{rule}"\n'
    )
    assert values(found) == [value]
    assert found.sessions["class_rule"].tolist() == [rule]


def test_nothing_is_asked_of_a_class_that_only_reads_fahrenheit():
    found = checked(
        cards([NAN] * 7, SIX_F),
        probe=record(),
        text='[school]\nclass_scale = "fahrenheit"\n[box]\naccuracy = 2\n',
    )
    assert values(found) == [50.0]
    rows = found.readings
    assert set(rows["scale_used"]) == {"fahrenheit"}
    # half a Fahrenheit mark of 2 degF is 0.56 degC
    np.testing.assert_allclose(rows["limit"], 2.0 + 1.0 / 1.8)
    assert set(rows["verdict"]) == {"inside"}


def test_half_a_mark_of_the_scale_that_was_read_belongs_to_the_limit():
    found = checked(cards([10.0, NAN], [50.0, 50.0]), probe=record(), text="[box]\naccuracy = 1.5\n")
    np.testing.assert_allclose(found.readings["limit"], [2.0, 1.5 + 1.0 / 1.8])


def test_the_probe_s_correction_is_added_to_every_indication():
    plain = checked(cards(SIX), probe=record())
    moved = checked(
        cards(SIX), probe=record(), text="[probe]\ncorrection = 0.4\ncorrection_uncertainty = 0.1\n"
    )
    assert moved.sessions["reference"][0] == pytest.approx(plain.sessions["reference"][0] + 0.4)
    assert moved.sessions["u_reference"][0] < plain.sessions["u_reference"][0]


def test_a_band_that_the_expanded_uncertainty_passes_is_not_judged_though_the_standard_one_is_smaller():
    found = checked(cards(SIX), probe=record(), text="[box]\naccuracy = 0.5\n")
    assert found.sessions["u_reference"][0] < 0.5
    assert found.readings["verdict"].isna().all()
    assert found.sessions["notes"].tolist() == [("band_too_narrow",)]


def test_a_session_notes_the_troubles_of_its_own_minutes_only():
    off = record(lambda at: np.where((at >= 530) & (at < 700), 85.0, 10.0))
    found = checked(cards(SIX), cards(SIX, part="afternoon"), probe=off)
    assert found.sessions["notes"].tolist() == [("power_on_value",), ()]
    later = record(lambda at: np.where(at >= 800, 85.0, 10.0))
    found = checked(cards(SIX), cards(SIX, part="afternoon"), probe=later)
    assert found.sessions["notes"].tolist() == [(), ("power_on_value",)]


def test_a_record_by_the_hour_is_said_to_be_too_seldom():
    found = checked(cards(SIX), probe=record(minutes=60))
    assert found.sessions["notes"].tolist() == [("logged_too_seldom",)]
    assert set(found.readings["verdict"]) == {"no reference"}


def test_a_box_check_read_in_fahrenheit_sets_no_zero_in_celsius():
    checks = pd.DataFrame(
        {
            "date": MONDAY, "kind": "bucket", "thermometer": ["1", "1"], "scale": ["fahrenheit", "celsius"],
            "reader": "1", "reference": [64.4, 18.0], "reading": [70.0, 18.5],
        }
    )  # fmt: skip
    sessions = [
        cards(SIX, day=day, numbers=[str((i + day) % 8 + 1) for i in range(7)]) for day in (0, 1, 2, 3, 4)
    ]
    found = checked(*sessions, checks=checks).thermometers.set_index("number")
    assert found.loc["1", "offset"] == pytest.approx(0.5)


def test_a_reading_s_own_time_is_the_middle_of_its_minutes():
    falling = record(lambda at: 20.0 - at / 60.0)
    mine = cards(SIX)
    mine.loc[0, "time"] = pd.Timestamp(MONDAY, tz="UTC") + pd.Timedelta(hours=9, minutes=10)
    found = checked(mine, probe=falling)
    assert found.readings["reference"][0] == pytest.approx(20.0 - 550 / 60.0 + 0.03125, abs=0.02)
    assert found.readings["u_reference"][0] < found.readings["u_reference"][1]


def test_two_readings_of_one_team_in_a_session_are_two_readings():
    twice = pd.concat([cards(SIX), cards([12.0])], ignore_index=True)
    found = checked(twice, probe=record())
    assert len(found.readings) == 8
    assert found.sessions["readings"].tolist() == [8]


def test_without_numbers_no_team_can_be_told_from_its_thermometer():
    found = checked(*(cards(SIX, numbers=[""] * 7, day=day) for day in range(5)), probe=record())
    assert found.thermometers.empty
    assert not found.separable
    assert found.teams["bias"].isna().all()
    first = found.readings["date"] == MONDAY
    assert found.readings.loc[first, "verdict"].notna().all()


def stepped(size=4.0):
    """Return a day of minutes whose record jumps at 08:30 and stays up."""
    return record(lambda at: np.where(at >= 510, 10.0 + size, 10.0))


def test_a_doubted_reference_gives_no_verdict_however_wide_the_band():
    found = checked(cards(SIX), probe=stepped(), text="[box]\naccuracy = 10\n")
    assert found.sessions["notes"][0][0] == "step"
    assert found.readings["expanded"].max() < 10
    assert found.readings["verdict"].isna().all()
    assert found.readings["p_inside"].isna().all()


def test_a_doubted_reference_tells_nothing_of_what_all_share():
    quiet = record(day=1)
    both = pd.concat([stepped(), quiet], ignore_index=True)
    found = checked(cards(SIX), cards(SIX, day=1), probe=both)
    assert found.readings["error"][0] == pytest.approx(-4.0, abs=0.1)
    assert found.common.value == pytest.approx(0.0, abs=0.3)


def test_a_session_is_not_told_the_trouble_of_the_session_before():
    off = record(lambda at: np.where((at >= 530) & (at < 700), 85.0, 10.0))
    minute = np.arange(len(off))
    found = checked(cards(SIX), cards(SIX, part="afternoon"), probe=off[minute < 780].reset_index(drop=True))
    assert found.sessions["reference"].isna().all()
    assert found.sessions["notes"].tolist() == [("power_on_value",), ("gap",)]


def test_a_session_after_the_record_ended_has_a_gap_and_one_without_a_probe_has_no_note():
    ended = record(hours=(0, 12))
    found = checked(cards(SIX), cards(SIX, part="afternoon"), probe=ended)
    assert found.sessions["notes"].tolist() == [(), ("gap",)]
    assert checked(cards(SIX)).sessions["notes"].tolist() == [()]
