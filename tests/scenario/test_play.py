import numpy as np
import pandas as pd
import pytest

from station.scenario.draw import draw_class
from station.scenario.plan import SLIPS
from station.scenario.play import play


@pytest.fixture(scope="module")
def played():
    return [play(draw_class(seed)) for seed in range(40)]


def test_same_seed_same_class():
    one, two = play(draw_class(5)), play(draw_class(5))
    pd.testing.assert_frame_equal(one.frames.readings, two.frames.readings)
    pd.testing.assert_frame_equal(one.frames.probe, two.frames.probe)
    assert not one.frames.readings.equals(play(draw_class(6)).frames.readings)


def test_clean_readings_stand_about_air_and_offset(played):
    for scenario in played:
        readings, truth = scenario.frames.readings, scenario.truth
        clean = (truth["slip"] == "") & (truth["manner"] == "") & truth["air_c"].notna()
        about = readings["celsius"][clean] - truth["column_c"][clean]
        if scenario.plan.written == "both":
            assert abs(about.mean()) < 0.06
            assert 0.3 < about.std() < 0.6
            assert about.abs().max() < 2.5


def test_rows_with_a_slip_are_marked_and_others_are_not(played):
    kinds = set()
    for scenario in played:
        readings, truth = scenario.frames.readings, scenario.truth
        kinds |= set(truth["slip"])
        if scenario.plan.written != "both":
            continue
        difference = (readings["celsius"] - (readings["fahrenheit"] - 32) / 1.8).abs()
        swapped = truth["slip"] == "scales_swapped"
        assert (difference[swapped] > 5).all()
    assert kinds - {""} == set(SLIPS)


def test_every_tube_is_used_by_many_teams(played):
    for scenario in played:
        used = scenario.truth[scenario.truth["air_c"].notna()].assign(team=scenario.frames.readings["team"])
        assert used.groupby("true_thermometer")["team"].nunique().min() >= 5


def test_draw_covers_ways_of_working(played):
    plans = [scenario.plan for scenario in played]
    assert {plan.school_days_only for plan in plans} == {True, False}
    assert {plan.sessions.thermometers for plan in plans} == {"carried", "waiting outside"}
    assert {plan.school.class_scale for plan in plans} == {"celsius", "fahrenheit"}
    assert any(plan.probe.clock for plan in plans)
    assert any(plan.window for plan in plans)
    assert any(plan.crossed_days for plan in plans)
    assert any(plan.misdated for plan in plans)
    assert any((plan.site.latitude or 0) < 0 for plan in plans)
    assert all(abs(plan.probe.offset_c) <= plan.probe_as_stated.accuracy_c for plan in plans)
    assert all(10 <= len(plan.teams) <= 15 for plan in plans)


def test_an_honest_class_has_no_pattern():
    scenario = play(draw_class(11, honest=True, troubles=False))
    assert (scenario.truth["slip"] == "").all()
    assert (scenario.truth["column_kind"] == "").all()
    assert all(abs(team.bias_c) <= 0.3 for team in scenario.plan.teams)
    assert all(abs(tube.offset_c) <= 0.5 for tube in scenario.plan.tubes)


def test_air_in_the_truth_is_what_the_probe_saw_without_its_offset():
    scenario = play(draw_class(12, honest=True, troubles=False, interval_s=60))
    probe, plan = scenario.frames.probe, scenario.plan
    truth = scenario.truth.dropna(subset=["air_c"])
    day = probe.assign(local=probe["time"].dt.tz_convert(plan.site.zone))
    start = pd.to_datetime(f"{truth['true_date'].iloc[0]} 09:00").tz_localize(plan.site.zone)
    window = day[(day["local"] >= start) & (day["local"] < start + pd.Timedelta(minutes=15))]
    first = truth[(truth["true_date"] == truth["true_date"].iloc[0]) & (truth["true_session"] == "morning")]
    assert window["celsius"].mean() - plan.probe.offset_c == pytest.approx(first["air_c"].mean(), abs=0.4)
    assert np.isfinite(probe["celsius"]).all()
