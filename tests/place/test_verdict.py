"""What makes a place shaded or leaves it undecided, on one shaded record whose readings are exchanged."""

from dataclasses import replace
from types import SimpleNamespace
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest

from station.place import faint, verdict
from station.place.survey import Survey, survey
from station.place.verdict import judge
from station.place.windows import Window
from station.record.columns import SAMPLES
from station.record.model import School, Site

SITE = Site(ZoneInfo("America/Chicago"), "place", 44.3, -91.4, 220.0)


@pytest.fixture(scope="module")
def court() -> Survey:
    """Six shaded days."""
    times = pd.date_range("2026-09-07T05:00", periods=8640, freq="1min", tz="UTC").as_unit("us")
    wave = -5 * np.cos(2 * np.pi * (np.arange(8640) - 180) / 1440)
    air = 14 + wave + np.random.default_rng(3).normal(0, 0.05, 8640)
    frame = pd.DataFrame({"time": times, "celsius": np.round(air * 16) / 16}).astype(dict(SAMPLES))
    return survey(frame, SITE)


@pytest.mark.parametrize(
    ("whole", "clearest", "answer"),
    [(0.03, 0.9, "shaded"), (0.045, 0.9, "undecided"), (0.0, 0.35, "undecided")],
)
def test_shade_needs_a_day_that_was_rather_clear_and_no_likely_whole_day(court, whole, clearest, answer):
    quiet = np.zeros_like(court.exposure.pooled)
    found = replace(
        court.exposure,
        openings=(),
        pooled=quiet,
        all_day=whole,
        sky=np.full(len(court.exposure.sky), clearest),
    )
    assert judge(found, {}, SITE, School()).answer == answer


@pytest.mark.parametrize(
    ("minutes", "chance", "answer"), [(30, 0.2, "undecided"), (4, 0.2, "shaded"), (30, 0.05, "shaded")]
)
def test_shade_needs_every_ten_minutes_of_school_to_be_rather_shut(court, minutes, chance, answer):
    found = court.exposure
    pooled = np.zeros_like(found.pooled)
    noon = found.path.noon[0]
    pooled[:, noon : noon + minutes // found.days.step] = chance
    one = replace(found, openings=(), pooled=pooled, all_day=0.0, sky=np.full(len(found.sky), 0.9))
    assert judge(one, {}, SITE, School()).answer == answer
    span = (int(noon), int(noon) + minutes // found.days.step)
    door = replace(one, doors=(Window(dict.fromkeys(range(len(pooled)), span)),))
    assert judge(door, {}, SITE, School()).answer == "shaded"


@pytest.mark.parametrize(("real", "answer"), [(0.2, "shaded"), (0.3, "undecided")])
def test_a_window_that_may_be_the_sun_s_forbids_shaded_and_a_door_s_does_not(court, real, answer):
    found = court.exposure
    noon, quiet = int(found.path.noon[0]), np.zeros_like(found.pooled)
    span = (noon, noon + 30 // found.days.step)
    cells = quiet.copy()
    cells[:, span[0] : span[1]] = 1.0
    window = SimpleNamespace(
        real=real,
        window=Window(dict.fromkeys(range(len(quiet)), span)),
        inside=lambda _: cells,
        seen_inside=lambda _: cells,
    )
    pooled = (0.2 if answer == "shaded" else 0.0) * cells
    one = replace(found, openings=(window,), pooled=pooled, all_day=0.0, sky=np.full(len(found.sky), 0.9))
    assert judge(one, {}, SITE, School()).answer == answer


@pytest.mark.parametrize(
    ("minutes", "days", "others", "answer"),
    [
        (30, 1, 0.3, "undecided"),  # one clear day among dull ones is believed
        (26, 1, 0.9, "shaded"),  # clear ones that read otherwise speak against it
        (30, 4, 0.9, "undecided"),
        (4, 4, 0.9, "shaded"),
    ],
)
def test_ten_minutes_that_clear_days_read_by_themselves_forbid_shaded(court, minutes, days, others, answer):
    found = court.exposure
    school = [row for row, date in enumerate(found.days.dates(SITE)) if date.weekday() < 5]
    alone, noon = np.zeros_like(found.alone), int(found.path.noon[0])
    span = (noon, noon + minutes // found.days.step)
    alone[school[:days], span[0] : span[1]] = 1.0
    sky = np.full(len(found.sky), others)
    sky[school[:days]] = 0.9
    quiet = np.zeros_like(found.pooled)
    one = replace(found, openings=(), pooled=quiet, alone=alone, all_day=0.0, sky=sky)
    assert judge(one, {}, SITE, School()).answer == answer
    door = replace(one, doors=(Window(dict.fromkeys(school[:days], span)),))
    assert judge(door, {}, SITE, School()).answer == "shaded"
    hardly = replace(one, alone=0.15 * (alone + 1))  # what a record says nothing of keeps a little chance
    assert judge(hardly, {}, SITE, School()).answer == answer


@pytest.mark.parametrize("nights", [True, False])
def test_a_record_of_school_hours_alone_is_held_against_limits_of_its_own(court, monkeypatch, nights):
    found = court.exposure
    if not nights:
        light = np.where(found.days.elevation > 5, found.days.celsius, np.nan)
        found = replace(found, days=replace(found.days, celsius=light))
    asked = []
    monkeypatch.setattr(faint, "stands_out", lambda *given: asked.append(given[-1]))
    monkeypatch.setattr(faint, "restless", lambda *_: 0.7)
    assert judge(found, {}, SITE, School()).answer == ("shaded" if nights else "undecided")
    assert asked == [faint.WHOLE_DAYS if nights else faint.SCHOOL_HOURS]


def test_a_record_sparser_than_ten_minutes_shows_none_by_itself(court):
    found = replace(court.exposure, alone=np.ones_like(court.exposure.alone))
    rows, asked = np.ones(len(found.sky), bool), np.ones(found.alone.shape, bool)
    assert verdict._by_themselves(found, rows, asked, 2) > 10
    sparse = replace(found, days=replace(found.days, step=20))
    assert verdict._by_themselves(sparse, rows, asked, 0) == 0
