"""The whole survey on small invented records whose sun is known by construction."""

import datetime as dt
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest

from station.base.sun import position
from station.place.days import lay_out
from station.place.hints import ANSWERS, shadow_evidence
from station.place.places import survey_places
from station.place.survey import Survey, survey
from station.record.columns import SAMPLES, empty
from station.record.model import School, Sessions, Site

SITE = Site(ZoneInfo("America/Chicago"), "court", 44.3, -91.4, 220.0)
FIRST = "2026-10-12"


def record(
    days: int, excess_c: float, azimuth: tuple[float, float], seed: int = 1, dull: tuple[int, ...] = ()
):
    """A slow daily wave, a little noise, and the sun between two azimuths on days that are not dull."""
    rng = np.random.default_rng(seed)
    start = pd.Timestamp(FIRST, tz=SITE.zone).tz_convert("UTC")
    times = pd.date_range(start, periods=days * 1440, freq="1min").as_unit("us")
    place = position(times, SITE.latitude, SITE.longitude)
    local = times.tz_convert(SITE.zone)
    minute = (local.hour * 60 + local.minute).to_numpy()
    day = np.arange(times.size) // 1440
    wave = np.where(np.isin(day, dull), 1.5, 5.0)
    air = 10 - wave * np.cos(2 * np.pi * (minute - 180) / 1440) + rng.normal(0, 0.05, times.size)
    lit = (place.azimuth_deg > azimuth[0]) & (place.azimuth_deg < azimuth[1]) & (place.elevation_deg > 3)
    lit &= ~np.isin(day, dull)
    felt = excess_c * lit
    lag = np.exp(-1.0)
    for i in range(1, felt.size):
        felt[i] = lag * felt[i - 1] + (1 - lag) * felt[i]
    frame = pd.DataFrame({"time": times, "celsius": np.round((air + felt) * 16) / 16}).astype(dict(SAMPLES))
    return frame, lit, times


@pytest.fixture(scope="module")
def sunlit() -> tuple[Survey, np.ndarray, pd.DatetimeIndex]:
    frame, lit, times = record(8, 5.0, (195.0, 215.0), dull=(2, 5))
    return survey(frame, SITE), lit, times


def test_a_window_of_sun_is_found_with_its_edges(sunlit):
    found, lit, times = sunlit
    assert found.verdict.answer == "sunlit"
    assert found.spans["date"].nunique() == 6
    stamps = times.tz_convert("UTC")
    for _, span in found.spans.iterrows():
        inside = (stamps >= span["start"]) & (stamps < span["end"])
        assert lit[inside].mean() > 0.9
    assert 3.5 < found.spans["excess_c"].median() < 6.0


@pytest.mark.parametrize("excess_c", [6.0, 9.0])
def test_sun_that_no_gust_disturbs_is_found(excess_c):
    """With the gusts of an open field its calm was read as shade, and the place as shaded."""
    frame, lit, times = record(6, excess_c, (200.0, 240.0))
    found = survey(frame, SITE)
    assert found.verdict.answer == "sunlit"
    shown = np.zeros(len(times), bool)
    for start, end in zip(found.spans["start"], found.spans["end"], strict=True):
        shown |= (times >= start) & (times < end)
    assert (shown & lit).sum() > 0.97 * (shown | lit).sum()


def test_what_an_opening_explains_is_not_held_to_be_unexplained(sunlit):
    assert not sunlit[0].verdict.unexplained


def test_the_opening_lies_where_it_was_put(sunlit):
    found, _, _ = sunlit
    best = found.openings.sort_values("probability").iloc[-1]
    assert best["azimuth_from"] == pytest.approx(195, abs=2.5)
    assert best["azimuth_to"] == pytest.approx(215, abs=2.5)


def test_a_dull_day_has_no_span_and_reads_as_less_clear(sunlit):
    found, _, _ = sunlit
    days = found.days.set_index("date")["clear"]
    dull = [dt.date(2026, 10, 14), dt.date(2026, 10, 17)]
    assert not found.spans["date"].isin(dull).any()
    assert days[dull].max() < days.drop(dull).min()


def test_the_forecast_crosses_the_clock_change(sunlit):
    found, _, _ = sunlit
    zone = SITE.zone
    ahead = found.ahead.set_index("date")["start"]
    before, after = (ahead[d].astimezone(zone) for d in (dt.date(2026, 10, 30), dt.date(2026, 11, 2)))
    jump = (before.hour * 60 + before.minute) - (after.hour * 60 + after.minute)
    assert 50 <= jump <= 66


def test_the_forecast_covers_every_planned_session(sunlit):
    found, _, _ = sunlit
    assert len(found.forecast) == 8 * 5 * 2
    assert found.forecast["date"].min() == dt.date(2026, 10, 20)


def test_a_shaded_place_has_no_spans():
    frame, _, _ = record(8, 0.0, (0.0, 0.0))
    found = survey(frame, SITE)
    assert found.verdict.answer == "shaded"
    assert found.spans.empty
    assert (found.forecast["sunlit_probability"].dropna() < 0.1).all()


@pytest.mark.parametrize("more_c", [2.5, 6.0])
def test_a_shaded_place_that_swings_by_day_more_than_its_region_stays_shaded(more_c):
    frame, _, times = record(8, 0.0, (195.0, 215.0))
    region = frame[::60].reset_index(drop=True)
    local = times.tz_convert(SITE.zone)
    frame["celsius"] -= more_c * np.cos(2 * np.pi * (local.hour * 60 + local.minute - 180) / 1440)
    found = survey(frame, SITE, weather=region)
    assert found.verdict.answer == "shaded"
    assert found.spans.empty


def test_hours_of_warmth_that_come_and_go_slowly_are_no_sun_beside_a_region():
    frame, _, times = record(8, 0.0, (195.0, 215.0))
    region = frame[::60].reset_index(drop=True)
    local = times.tz_convert(SITE.zone)
    slow = np.cos(2 * np.pi * (local.hour * 60 + local.minute - 810) / 1080)
    frame["celsius"] += 8.0 * np.clip(slow, 0, None)
    found = survey(frame, SITE, weather=region)
    assert found.verdict.answer != "sunlit"
    assert found.spans.empty


def test_only_dull_days_leave_it_undecided():
    frame, _, _ = record(3, 5.0, (195.0, 215.0), dull=(0, 1, 2))
    assert survey(frame, SITE).verdict.answer == "undecided"


def test_a_door_at_the_bell_is_not_the_sun():
    frame, _, times = record(12, 0.0, (0.0, 0.0))
    local = times.tz_convert(SITE.zone)
    minute = np.asarray(local.hour * 60 + local.minute)
    warm = np.isin(minute, np.arange(720, 732)) & np.asarray(local.day_of_week < 5)
    frame["celsius"] += 3.0 * warm
    found = survey(frame, SITE)
    assert found.verdict.answer != "sunlit"
    assert found.spans.empty


def test_a_door_that_falls_shut_after_minutes_leaves_the_place_shaded():
    frame, _, times = record(12, 0.0, (0.0, 0.0))
    local = times.tz_convert(SITE.zone)
    school_day = np.asarray(local.day_of_week < 5)
    for minute, length in ((495, 4), (600, 4), (720, 3), (855, 4)):
        at = np.asarray(local.hour * 60 + local.minute) - minute
        frame["celsius"] += 2.0 * ((at >= 0) & (at < length) & school_day)
    assert survey(frame, SITE).verdict.answer == "shaded"


def test_no_record_is_undecided_and_says_nothing_about_sessions():
    found = survey(empty(SAMPLES), SITE, School(first=dt.date(2026, 10, 5)))
    assert found.verdict.answer == "undecided"
    assert found.forecast.empty


def test_a_sketch_gives_a_forecast_before_any_record():
    corners = pd.DataFrame({"azimuth": [195.0, 230.0, 230.0, 195.0], "elevation": [2.0, 2.0, 50.0, 50.0]})
    found = survey(empty(SAMPLES), SITE, School(first=dt.date(2026, 11, 2)), sketch=corners)
    chance = found.forecast.groupby("session")["sunlit_probability"].mean()
    assert chance["afternoon"] > 0.6
    assert chance["morning"] < 0.1
    assert found.sketched


@pytest.fixture(scope="module")
def dark() -> pd.DataFrame:
    return record(8, 0.0, (0.0, 0.0), seed=2)[0]


def answered(yes: int, no: int) -> pd.DataFrame:
    """Notes of morning sessions, on school days one after the other, shadows seen first."""
    dates = [d for d in pd.date_range(FIRST, periods=60) if d.weekday() < 5][: yes + no]
    times = [pd.Timestamp(f"{d:%Y-%m-%d} 09:50", tz=SITE.zone).tz_convert("UTC") for d in dates]
    return pd.DataFrame(
        {"time": pd.DatetimeIndex(times).as_unit("us"), "shadow": ["yes"] * yes + ["no"] * no}
    )


@pytest.mark.parametrize(
    ("yes", "no", "answer"), [(0, 8, "shaded"), (1, 0, "undecided"), (2, 4, "undecided"), (1, 7, "shaded")]
)
def test_shadows_seen_forbid_shaded_unless_mistaken_answers_explain_them(dark, yes, no, answer):
    found = survey(dark, SITE, notes=answered(yes, no)).verdict
    assert found.answer == answer
    assert found.shadows == (yes if answer == "undecided" else 0)
    assert found.unexplained == (found.shadows > 0)  # so no small chances are given for what comes


def test_shadows_outside_of_school_hours_say_nothing_of_the_verdict(dark):
    notes = answered(3, 0)
    late = notes.assign(time=notes["time"] + pd.Timedelta(hours=8))
    assert survey(dark, SITE, notes=late).verdict.answer == "shaded"


def test_a_seen_shadow_is_evidence_of_sun_around_its_time():
    frame, _, _ = record(3, 1.3, (195.0, 215.0), dull=(2,))
    grid = lay_out(frame, SITE)
    notes = answered(1, 1)
    told = shadow_evidence(grid, notes)
    for time, answer in notes.itertuples(index=False):
        at = np.datetime64(time.tz_localize(None), "us")
        row = int(np.searchsorted(grid.start, at, side="right")) - 1
        column = int((at - grid.start[row]) // np.timedelta64(grid.step, "m"))
        lit, unlit = ANSWERS[answer]
        assert told[row].sum() == pytest.approx(np.log(lit / unlit))
        assert set(np.flatnonzero(told[row])) <= set(range(column - 3, column + 4))


def test_places_are_ranked_by_sun():
    lit, _, _ = record(8, 5.0, (185.0, 225.0))
    dark, _, _ = record(8, 0.0, (0.0, 0.0), seed=2)
    places = survey_places(
        {"": lit, "yard": dark}, {"": "place", "yard": "candidate"}, SITE, School(), Sessions()
    )
    assert places.ranking["name"].tolist() == ["yard", ""]
    assert places.place.verdict.answer == "sunlit"


def test_only_school_hours_recorded_still_finds_the_window():
    frame, _, times = record(12, 5.0, (195.0, 212.0))
    local = times.tz_convert(SITE.zone)
    minute = np.asarray(local.hour * 60 + local.minute)
    kept = frame[(minute >= 495) & (minute < 915) & np.asarray(local.day_of_week < 5)].reset_index(drop=True)
    found = survey(kept, SITE)
    assert found.verdict.answer == "sunlit"
    assert found.days["logged"].min() > 0.95
