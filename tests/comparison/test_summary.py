"""What is said of teams and thermometers: their zeros, what all share, and what can't be told apart."""

import datetime as dt

import numpy as np
import pandas as pd
import pytest
from crossed import invent

from station.comparison.segments import split
from station.comparison.summary import by_number, summarise

SHARED_U_C = 0.3


def readings_of(case):
    first = dt.date(2026, 10, 5)
    return pd.DataFrame(
        {
            "team": [f"T{t:02d}" for t in case.team],
            "date": [first + dt.timedelta(days=int(s)) for s in case.session],
        }
    )


def summed(case, y=None, *, numbers=None, trusted=None, checked=None, without=(), changes=()):
    """Summarise an invented class; sessions in ``without`` have no reference."""
    readings = readings_of(case)
    y = case.y if y is None else y
    coaching = pd.DataFrame(changes, columns=["team", "date"]).assign(topic="")
    return summarise(
        np.where(np.isin(case.session, without), np.nan, y),
        y + 10.0 + case.session,  # the air, which every session has its own of
        case.session,
        split(readings, coaching, pd.DataFrame(columns=["team", "date", "change"])),
        pd.Series([str(n + 1) for n in case.number]) if numbers is None else pd.Series(numbers),
        trusted=np.ones(y.size, dtype=bool) if trusted is None else trusted,
        shared_u_c=SHARED_U_C,
        checked=pd.Series(checked or {}, dtype="float64"),
    )


CASE = invent(3, sessions=30, rest=0.3)


def test_teams_and_thermometers_stand_on_the_middle_of_their_class_and_box():
    found = summed(CASE)
    assert found.separable
    assert abs(found.teams["bias"].median()) < 0.05
    assert abs(found.thermometers["offset"].median()) < 0.05
    off = found.teams["bias"].to_numpy() - (CASE.team_c - np.median(CASE.team_c))
    assert np.abs(off - off.mean()).max() < 0.25
    np.testing.assert_array_equal(found.teams["readings"], 30)


def test_what_all_share_is_the_middle_of_the_sessions_with_the_shared_doubt_in_full():
    few, many = summed(invent(3, sessions=8)), summed(invent(3, sessions=60))
    true = 0.3  # of the invented sessions, whose own scatter is 0.4
    for found in (few, many):
        assert found.common.low < true < found.common.high
    half = (many.common.high - many.common.low) / 2
    assert 1.96 * SHARED_U_C <= half < 1.96 * np.hypot(SHARED_U_C, 0.12)
    shifted = summed(invent(3, sessions=60), invent(3, sessions=60).y + 1.5)
    assert shifted.common.value == pytest.approx(many.common.value + 1.5, abs=1e-3)
    assert shifted.teams["bias"].to_numpy() == pytest.approx(many.teams["bias"].to_numpy(), abs=1e-3)


def test_doubted_sessions_tell_of_teams_and_thermometers_but_not_of_what_all_share():
    doubted = CASE.session >= 20
    y = CASE.y + np.where(doubted, 8.0, 0.0)
    apart, whole = summed(CASE, y, trusted=~doubted), summed(CASE, y)
    plain = summed(CASE)
    assert apart.teams["bias"].to_numpy() == pytest.approx(plain.teams["bias"].to_numpy(), abs=1e-3)
    assert abs(apart.common.value - plain.common.value) < 0.2
    assert whole.common.value > plain.common.value + 0.1
    nothing = summed(CASE, trusted=np.zeros(CASE.y.size, dtype=bool))
    assert np.isnan(nothing.common.value)


def test_sessions_without_reference_still_tell_of_teams_and_thermometers():
    half, plain = summed(CASE, without=range(15)), summed(CASE)
    assert half.teams["bias"].to_numpy() == pytest.approx(plain.teams["bias"].to_numpy(), abs=0.02)
    none = summed(CASE, without=range(30))
    assert none.teams["bias"].to_numpy() == pytest.approx(plain.teams["bias"].to_numpy(), abs=0.02)


def test_a_box_check_moves_the_offsets_and_what_all_share_the_other_way():
    plain = summed(CASE)
    offsets = plain.thermometers.set_index("number")["offset"]
    checked = {n: offsets[n] + 0.5 for n in ("2", "5", "9")}
    found = summed(CASE, checked=checked)
    assert found.thermometers["offset"].to_numpy() == pytest.approx(
        plain.thermometers["offset"].to_numpy() + 0.5, abs=1e-6
    )
    # all thermometers read half a degree more than was thought, so what all share is as much less
    assert found.common.value == pytest.approx(plain.common.value - 0.5, abs=1e-6)
    assert found.teams["bias"].to_numpy() == pytest.approx(plain.teams["bias"].to_numpy(), abs=1e-9)


def test_a_check_of_a_thermometer_that_nobody_read_changes_nothing():
    plain, found = summed(CASE), summed(CASE, checked={"77": 0.8})
    assert found.thermometers["offset"].to_numpy() == pytest.approx(plain.thermometers["offset"].to_numpy())
    assert found.common == plain.common


def test_two_halves_of_a_class_that_never_share_a_thermometer_are_not_separable():
    own = np.where(CASE.team < 6, CASE.number % 4, 4 + CASE.number % 4)
    found = summed(CASE, numbers=[str(n) for n in own])
    assert not found.separable
    small, large = found.teams["team"].isin([f"T{t:02d}" for t in range(6)]), found.teams["separable"]
    assert (small == ~large).all()
    assert found.teams.loc[small, "bias"].isna().all()
    assert found.teams.loc[large, "bias"].notna().all()
    assert found.thermometers.set_index("number")["offset"].isna().to_dict() == {
        **{str(n): True for n in range(4)}, **{str(n): False for n in range(4, 8)},
    }  # fmt: skip
    unknown = np.isin(own, range(4))
    assert np.isnan(found.offset[unknown]).all()
    assert np.isfinite(found.offset[~unknown]).all()


def test_a_team_of_three_readings_has_no_spread():
    keep = (CASE.team != 2) | (CASE.session < 3)
    rows = [getattr(CASE, name)[keep] for name in ("y", "session", "team", "number", "slip")]
    case = type(CASE)(CASE.team_c, CASE.offset_c, *rows, CASE.counts)
    found = summed(case).teams.set_index("team")
    assert np.isnan(found.loc["T02", "spread"])
    assert found.loc["T03", "spread"] == pytest.approx(0.3, abs=0.15)


def test_a_team_s_bias_is_the_mean_of_its_segments_weighted_by_their_readings():
    date = dt.date(2026, 10, 15)
    y = CASE.y + np.where((CASE.team == 4) & (CASE.session < 10), 1.0, 0.0)
    found = summed(CASE, y, changes=[("T04", date)])
    pieces = found.segments[found.segments["team"] == "T04"]
    assert pieces["readings"].tolist() == [10, 20]
    before, after = pieces["bias"]
    assert before - after == pytest.approx(1.0, abs=0.35)
    assert found.teams.set_index("team").loc["T04", "bias"] == pytest.approx((before + 2 * after) / 3)


def test_numbers_come_by_size_and_labels_after_them():
    assert sorted(["10", "b", "9", "a", "1"], key=by_number) == ["1", "9", "10", "a", "b"]
