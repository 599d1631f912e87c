"""Every row of the demonstration's truth comes out as planned, and nobody is named for anything else."""

import datetime as dt

import numpy as np
import pandas as pd
import pytest

HONEST = ("Alder", "Aspen", "Beech", "Cedar", "Larch")


@pytest.fixture(scope="module")
def found(larch_lane_checked):
    return larch_lane_checked.findings


@pytest.fixture(scope="module")
def rows(larch_lane_played, larch_lane_checked):
    return pd.concat(
        [larch_lane_checked.readings[["team", "date", "session"]], larch_lane_played.truth], axis=1
    )


def said(found, row, at_least=0.8):
    mine = found.causes[(found.causes["row"] == row) & (found.causes["probability"] >= at_least)]
    return list(mine["kind"])


@pytest.mark.parametrize(
    ("team", "kind", "group"),
    [
        ("Maple", "eye_line", "column"),
        ("Fir", "read_too_soon", "column"),
        ("Hazel", "bulb_warmed", "column"),
        ("Holly", "scales_swapped", "entry"),
        ("Oak", "ten_off", "celsius side"),
        ("Willow", "converted_not_read", "habit"),
        ("Pine", "rounded", "habit"),
        ("Rowan", "minus_dropped", "entry"),
        ("Elm", "small_marks", "fahrenheit side"),
    ],
)
def test_each_team_is_found_with_what_it_does_and_nothing_else(found, team, kind, group):
    assert [(f.kind, f.group) for f in found.teams[team]] == [(kind, group)]
    assert found.team_states[team] in ("worth a look", "clear")


@pytest.mark.parametrize("team", HONEST)
def test_honest_teams_have_nothing_to_see(found, team):
    assert found.teams[team] == ()
    assert found.team_states[team] == "nothing to see"


def test_thermometers(found):
    kinds = {number: [f.kind for f in fs] for number, fs in found.thermometers.items() if fs}
    assert kinds == {"7": ["thermometer_offset"], "11": ["scale_plate_slipped"]}
    assert found.thermometers["7"][0].size_c == pytest.approx(1.6, abs=0.2)
    assert found.thermometers["11"][0].size_c == pytest.approx(4 / 1.8, abs=0.3)


def test_maple_is_helped_by_coaching(found):
    (change,) = found.changes
    assert (change.team, change.kind, change.verdict) == ("Maple", "eye_line", "helped")
    assert change.high_c < 0.0


def test_each_swapped_row_is_said(found, rows):
    swapped = np.flatnonzero(rows["slip"] == "scales_swapped")
    assert len(swapped) == 6
    for row in swapped:
        assert "scales_swapped" in said(found, row)


def test_ten_off_rows_are_said_on_the_celsius_side(found, rows):
    off = np.flatnonzero(rows["slip"] == "ten_off")
    hits = [row for row in off if "ten_off" in said(found, row)]
    assert len(hits) >= 0.9 * len(off)


def test_minus_is_said_in_the_cold_and_not_claimed_near_minus_one(found, rows):
    minus = rows[rows["slip"] == "minus_dropped"]
    cold = minus[minus["air_c"] <= -2.0]
    for row in cold.index:
        assert "minus_dropped" in said(found, row)


def test_crossed_half_days_and_the_wrong_date(found, rows):
    crossed = {m.typed for m in found.moves if m.kind == "wrong_half_day"}
    assert crossed == {(dt.date(2026, 10, 14), "morning"), (dt.date(2026, 10, 14), "afternoon")}
    dated = {row for m in found.moves if m.kind == "wrong_date" for row in m.rows}
    moved = rows[(rows["date"] != rows["true_date"]) & rows["air_c"].notna()]
    assert dated == set(moved.index)
    assert all(m.true[0] == dt.date(2026, 10, 22) for m in found.moves if m.kind == "wrong_date")


def test_clock_is_asked_for_the_week_it_was_turned(found):
    (shift,) = found.clock
    assert (shift.first, shift.last) == (dt.date(2026, 11, 2), dt.date(2026, 11, 6))
    assert shift.shift_minutes == -60.0


def test_no_clean_reading_has_a_cause_said(found, rows):
    clean = rows[
        rows["team"].isin(HONEST)
        & (rows["slip"] == "")
        & (rows["date"] == rows["true_date"])
        & (rows["session"] == rows["true_session"])
        & (rows["sun_c"] < 0.3)
        & ~rows["true_thermometer"].isin(["7", "11"])
    ]
    for row in clean.index:
        assert said(found, row) == []
