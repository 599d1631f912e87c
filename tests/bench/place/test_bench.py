"""The short bench: a few sites run through and are scored; rates are reported by ``run.py``, not asserted."""

import contextlib
import importlib.util
import sys
from dataclasses import replace
from functools import partial
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest

SPEC = importlib.util.spec_from_file_location("place_bench", Path(__file__).with_name("run.py"))
bench = importlib.util.module_from_spec(SPEC)
sys.modules["place_bench"] = bench
SPEC.loader.exec_module(bench)


def test_the_same_seed_gives_the_same_site():
    one, two = (bench.generator.make(7, True, 3) for _ in range(2))
    assert one.probe.equals(two.probe)
    assert one.truth.equals(two.truth)


def test_the_generator_s_sun_comes_through_its_openings_only():
    case = bench.generator.make(11, True, 4, school_only=False, kind="afternoon")
    truth = case.truth
    lit = truth["clear_excess_c"] > 0
    inside = np.zeros(len(truth), bool)
    for patch in case.patches:
        inside |= patch.visible(truth["azimuth"].to_numpy(), truth["elevation"].to_numpy()) > 0
    assert lit.any()
    assert not (lit & ~inside).any()
    assert (truth["direct_c"] <= truth["excess_c"] + 1e-9)[lit].all()


def test_a_perfect_answer_scores_one_and_an_empty_one_nothing():
    true = np.array([False, True, True, False])
    assert bench.scorer.f1(true, true) == 1.0
    assert bench.scorer.f1(~true, true) == 0.0
    assert bench.scorer.f1(np.zeros(4, bool), np.zeros(4, bool)) == 1.0


def test_a_true_calendar_scores_full_where_the_record_leaves_weekends_out():
    case = bench.generator.make(132, True, 10, school_only=True)  # its windows move by minutes a day
    found = bench.WAYS["probe alone"](case)
    days, open_ = found.calendar.days, np.zeros_like(found.calendar.open)
    stamps = case.truth["time"].to_numpy(dtype="datetime64[us]")
    row = np.searchsorted(days.start, stamps, side="right") - 1
    good = row >= 0
    column = (stamps - days.start[row])[good] // np.timedelta64(days.step, "m")
    open_[row[good], column.astype(int)] = bench.scorer.recurring_truth(case)[good]
    true = replace(found, calendar=replace(found.calendar, open=open_))
    assert case.truth["recorded"].groupby(case.truth["date"]).any().sum() < len(case.truth["date"].unique())
    assert bench.scorer.score(case, true)["recurring_f1"] > 0.98


def test_a_few_sites_are_scored(capsys):
    lit, shaded = (bench.cases(seed, 3, on, 6) for seed, on in zip(bench.TUNING, (True, False), strict=True))
    table = bench.detection(lit, shaded, "probe alone")
    assert len(table) == 6
    assert "false minutes a day" in capsys.readouterr().out


@pytest.mark.parametrize("method", [bench.baselines.by_rate, lambda c: bench.baselines.by_region(c, 3.0)])
def test_baselines_answer_for_every_minute(method):
    case = bench.generator.make(3, True, 3)
    assert method(case).shape == (len(case.truth),)


def test_a_reader_told_all_that_the_sun_showed_finds_the_window():
    case = bench.generator.make(11, True, 6, school_only=False, kind="afternoon")
    wanted, told = bench.scorer.recurring_truth(case), bench.baselines.by_told(case)
    assert bench.scorer.f1(told, wanted) > 0.9
    assert max(bench.scorer.edge_misses(case, wanted, told)) <= 5


@pytest.mark.parametrize("seed", [20096, 20139])  # all day; two windows, one at the sun's lowest, and a door
def test_sun_that_stands_low_or_shines_calmly_for_hours_is_no_shade(seed):
    case = bench.generator.make(seed, True)
    assert bench.scorer.score(case, bench.WAYS["probe alone"](case))["recurring_f1"] > 0.95


@pytest.mark.parametrize("seed", [20144, 30058])  # strong sun in two windows, logged in school hours only
def test_air_that_is_restless_in_windows_alone_is_not_in_the_sun_all_day(seed):
    case = bench.generator.make(seed, True)
    found = bench.WAYS["probe alone"](case)
    assert found.exposure.all_day < 0.3
    assert bench.scorer.score(case, found)["recurring_f1"] > 0.95


@pytest.mark.parametrize("seed", [40217, 40076])  # of 20 minutes, logged in school hours only
def test_a_window_that_comes_earlier_or_later_by_the_clock_is_no_door_s(seed):
    case = bench.generator.make(seed, True)
    assert bench.scorer.score(case, bench.WAYS["probe alone"](case))["recurring_f1"] > 0.9


@pytest.mark.parametrize("seed", [211, 148])  # of two degrees
def test_a_weak_sun_all_day_is_no_window_of_some_hours(seed):
    case = bench.generator.make(seed, True)
    found = bench.WAYS["probe alone"](case)
    assert found.verdict.answer == "sunlit"
    assert bench.scorer.score(case, found)["recurring_f1"] > 0.95


@pytest.mark.parametrize("seed", [70002, 70110])  # read warm for hours by 0.8 degC
def test_restless_shade_of_an_afternoon_is_not_taken_for_sun(seed):
    case = bench.generator.make(seed, False)
    assert bench.WAYS["probe alone"](case).verdict.answer != "sunlit"


@pytest.mark.parametrize("seed", [50104, 70072])  # doors of a few minutes, no window
def test_a_door_s_faint_warmth_does_not_forbid_shade(seed):
    found = bench.WAYS["probe alone"](bench.generator.make(seed, False))
    assert found.verdict.answer == "shaded"
    assert found.exposure.doors


# Two degrees for minutes, four degrees on one day.
@pytest.mark.parametrize(("seed", "answer"), [(40005, "sunlit"), (16_000_113, "undecided")])
def test_sun_on_a_few_days_is_no_hint_of_a_door(seed, answer):
    found = bench.WAYS["probe alone"](bench.generator.make(seed, True))
    assert not found.exposure.doors
    assert found.verdict.answer == answer


def test_doors_beside_a_window_of_sun_don_t_draw_its_edge_out():
    case = bench.generator.make(22_000_314, True)  # by half an hour, on dull days
    assert bench.scorer.score(case, bench.WAYS["probe alone"](case))["recurring_f1"] > 0.95


@pytest.mark.parametrize(("seed", "least"), [(22_300_170, 0.865), (22_300_156, 0.95)])
def test_what_leaves_let_through_without_warming_by_a_degree_is_a_gap(seed, least):
    case = bench.generator.make(seed, True)
    assert bench.scorer.score(case, bench.WAYS["probe alone"](case))["recurring_f1"] > least


def test_forty_minutes_without_a_break_are_no_door_s():
    case = bench.generator.make(22_200_157, True)
    assert bench.scorer.score(case, bench.WAYS["probe alone"](case))["recurring_f1"] > 0.9


def test_edges_ahead_are_scored(capsys, monkeypatch):
    told = [None, [(4.0, True, 12.0), (20.0, False, 3.0), (np.inf, False, 2.0)], [(9.0, True, 30.0)]]
    monkeypatch.setattr(bench, "_edges_ahead", partial(_told, told))
    monkeypatch.setattr(bench, "Pool", lambda jobs: contextlib.nullcontext(SimpleNamespace(imap=map)))
    bench.ahead(0, 2, 20, 14)
    said = capsys.readouterr().out
    assert "2 sites, 4 edges\nnot said: 1\n" in said
    assert "within 10 min: 0.67, of all edges 0.50; last day's clock 0.33; 80 % bands cover 0.667" in said


def _told(edges: list, seed: int, days: int, lead: int) -> list | None:
    return edges[seed]


@pytest.mark.parametrize(
    ("seed", "near", "said", "clock"),
    [
        (200_021, [False, False], [True, False], [True, False]),
        (200_006, [True, True], [True, True], [True, True]),
    ],
)
def test_an_edge_ahead_is_held_against_the_day_s_own_and_the_last_recorded_day_s(seed, near, said, clock):
    off, held, last = np.array(bench._edges_ahead(seed, 10, 14), float).T
    assert (off <= 10).tolist() == held.astype(bool).tolist() == near
    assert np.isfinite(off).tolist() == said
    assert (last <= 10).tolist() == clock


@pytest.mark.parametrize(
    ("out", "lit", "mostly"),
    [
        ((1.0, 0.3, 0.3), (1, 0, 0), True),  # the two unlit days were dull
        ((1.0, 1.0, 1.0), (1, 0, 0), False),
        ((0.5, 0.5, 0.5), (1, 1, 1), False),  # no clear day
    ],
)
def test_a_place_lit_on_its_clear_days_is_told_from_one_whose_sun_the_clouds_hid(out, lit, mostly):
    day = np.repeat(np.arange(3), 100)
    sky = np.concatenate([np.arange(100) < 100 * share for share in out]).astype(float)
    truth = pd.DataFrame({"date": day, "recorded": True, "school": True, "elevation": 30.0, "sky": sky})
    found = bench.scorer.lit_when_clear(SimpleNamespace(truth=truth), np.array(lit, bool)[day])
    assert found == mostly


def test_sessions_ahead_are_scored(capsys):
    bench.sessions_ahead(bench.TUNING[0] + 400_000, 1)
    assert "sessions in 14 days across a clock change, 1 sites" in capsys.readouterr().out
