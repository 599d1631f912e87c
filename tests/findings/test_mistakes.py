"""Single cards whose cause a person would name at a glance, in a class of honest ones."""

import datetime as dt

import pandas as pd
import pytest

from station.assess import cross_check
from station.record.columns import READINGS, SAMPLES, Frames
from station.settings import parse

TEAMS = ("Ash", "Birch", "Elm", "Fir", "Oak", "Pine", "Rowan", "Yew")
TOML = '[site]\ntimezone = "UTC"\n[school]\nfirst = "2026-03-02"\nlast = "2026-03-20"\n'
AIR = {0: 7.0, 1: 12.0, 2: -4.0, 3: 8.0, 4: 14.0}  # degC by day


def class_of(changes):
    """Return five mornings of eight honest teams, with some cards changed: (day, team) -> (C, F)."""
    rows, samples = [], []
    for day, air in AIR.items():
        date = dt.date(2026, 3, 2) + dt.timedelta(days=day)
        start = pd.Timestamp(f"{date} 08:30", tz="UTC")
        samples += [(start + pd.Timedelta(minutes=m), air) for m in range(60)]
        for i, team in enumerate(TEAMS):
            honest = (round(air + 0.3 * (-1) ** (i + day)), 2 * round((1.8 * air + 32 + (i % 3 - 1)) / 2))
            c, f = changes.get((day, team), honest)
            rows.append((date, team, str((i + 3 * day) % 9 + 1), c, f))
    frame = pd.DataFrame(rows, columns=["date", "team", "thermometer", "celsius", "fahrenheit"])
    frame["session"] = "morning"
    frame["celsius_written"] = frame["celsius"].map(str)
    frame["fahrenheit_written"] = frame["fahrenheit"].map(str)
    frame["time"], frame["waited"], frame["note"] = pd.NaT, float("nan"), ""
    frame["line"] = range(2, len(frame) + 2)
    frame["time"] = pd.to_datetime(frame["time"], utc=True)
    probe = pd.DataFrame(samples, columns=["time", "celsius"]).astype(dict(SAMPLES))
    return Frames(probes={"": probe}, readings=frame[list(READINGS)].astype(dict(READINGS)))


def causes_of(changes, probe=True):
    frames = class_of(changes)
    if not probe:
        frames = Frames(readings=frames.readings)
    a = cross_check(frames, parse(TOML))
    rows = a.readings
    out = {}
    for row, kind, group, p in a.findings.causes.itertuples(index=False):
        day = (rows["date"].iloc[row] - dt.date(2026, 3, 2)).days
        out.setdefault((day, rows["team"].iloc[row]), []).append((kind, group, p))
    return out


@pytest.mark.parametrize("probe", [True, False])
@pytest.mark.parametrize(
    ("day", "card", "kind", "group"),
    [
        (0, (44, 7), "scales_swapped", "entry"),
        (1, (54, 54), "same_scale_twice", "entry"),
        (1, (2, 54), "ten_off", "celsius side"),
        (1, (12, 74), "ten_off", "fahrenheit side"),
        (2, (4, 24), "minus_dropped", "entry"),
        (4, (41, 57), "digits_transposed", "entry"),
    ],
)
def test_a_card_is_told_its_cause_with_and_without_a_probe(probe, day, card, kind, group):
    found = causes_of({(day, "Elm"): card}, probe)
    best_kind, best_group, p = found[day, "Elm"][0]
    assert best_group == group
    assert best_kind == kind
    assert p > 0.5


def test_honest_cards_are_told_nothing():
    for probe in (True, False):
        for causes in causes_of({}, probe).values():
            assert max(p for _, _, p in causes) < 0.8


def test_a_blank_scale_is_a_missing_scale():
    found = causes_of({(0, "Elm"): (7, float("nan"))})
    assert ("scale_missing", "entry", 1.0) in found[0, "Elm"]


def test_both_scales_high_together_is_the_column():
    found = causes_of({(0, "Elm"): (12, 54)})
    assert {group for _, group, p in found[0, "Elm"] if p > 0.05} == {"column"}
    assert sum(p for _, group, p in found[0, "Elm"] if group == "column") > 0.8


def test_near_minus_one_the_minus_is_not_claimed():
    frames_air = AIR[2]
    AIR[2] = -1.0
    try:
        found = causes_of({(2, "Elm"): (1, 30)})
    finally:
        AIR[2] = frames_air
    said = [p for kind, _, p in found.get((2, "Elm"), []) if kind == "minus_dropped"]
    assert max(said, default=0.0) < 0.8


def test_a_number_used_twice_is_noted():
    frames = class_of({})
    readings = frames.readings.copy()
    readings.loc[0, "thermometer"] = readings.loc[1, "thermometer"]
    a = cross_check(Frames(probes=frames.probes, readings=readings), parse(TOML))
    kinds = a.findings.causes.set_index("row")["kind"]
    assert "wrong_thermometer_number" in {kinds[0]} | {kinds[1]}
