"""What the survey's words and pictures say of the same days and sessions."""

import datetime as dt
import re
from dataclasses import replace
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest

from station.base.sun import position
from station.place.places import Places, survey_places
from station.place.survey import Survey
from station.record.columns import SAMPLES
from station.record.model import Site
from station.settings import Settings
from station.views.plots_place import _joined, clear_day, days_by_clock, sky_map, sun_calendar
from station.views.site_words import paragraphs

SETTINGS = Settings(Site(ZoneInfo("America/Chicago"), "court", 44.3, -91.4, 220.0))


@pytest.fixture(scope="module")
def places() -> Places:
    """Sun every noon for a week; the probe was put out at six on a Monday evening."""
    start = pd.Timestamp("2026-10-12 18:00", tz=SETTINGS.site.zone).tz_convert("UTC")
    times = pd.date_range(start, periods=6 * 1440, freq="1min").as_unit("us")
    at = position(times, SETTINGS.site.latitude, SETTINGS.site.longitude)
    lit = (at.azimuth_deg > 180) & (at.azimuth_deg < 205)
    noise = np.random.default_rng(3).normal(0, 0.05, times.size)
    minutes = np.arange(times.size)
    felt = 10 - 4 * np.cos(2 * np.pi * (minutes + 900) / 1440) + noise + 5.0 * lit
    frame = pd.DataFrame({"time": times, "celsius": np.round(felt * 16) / 16}).astype(dict(SAMPLES))
    return survey_places({"": frame}, {"": "place"}, SETTINGS.site, SETTINGS.school, SETTINGS.sessions)


@pytest.fixture(scope="module")
def survey(places: Places) -> Survey:
    return places.place


def title(figure) -> str:
    return " ".join(" ".join(text.get_text() for text in figure.texts).split())


def test_words_and_picture_count_the_same_days(places, survey):
    said = " ".join(paragraphs(places, SETTINGS.site.zone, 8))
    days = re.compile(r"on (\d+) of (\d+) recorded days")
    assert days.search(said).groups() == days.search(title(days_by_clock(survey, SETTINGS))).groups()
    assert days.search(said).groups()[1] == str(len(survey.days) - 1)  # the evening is no day of school


def test_a_record_of_one_evening_draws_no_days(survey):
    assert survey.recorded
    first = survey.days.iloc[:1]
    assert "Nothing is recorded yet" in title(days_by_clock(replace(survey, days=first), SETTINGS))


def test_the_calendar_s_sentence_names_every_session_that_meets_the_sun(survey):
    dates = [dt.date(2026, 11, 2), dt.date(2026, 11, 3)]
    chances = {("morning", dates[0]): 0.1, ("morning", dates[1]): 0.9,
               ("afternoon", dates[0]): 0.8, ("afternoon", dates[1]): 0.8}  # fmt: skip
    rows = [(d, s, p) for (s, d), p in sorted(chances.items(), key=lambda item: (item[0][1], item[0][0]))]
    ahead = pd.DataFrame(rows, columns=["date", "session", "sunlit_probability"])
    said = title(sun_calendar(replace(survey, forecast=ahead), SETTINGS))
    assert "the sun is on the place in the afternoon session from 2 Nov on" in said
    assert "on and in the morning session from 3 Nov on." in said


def test_shadows_seen_against_a_record_of_shade_are_said_with_what_would_settle_it(places, survey):
    said = {}
    for seen in (1, 3):
        verdict = replace(survey.verdict, answer="undecided", share=0.0, shadows=seen)
        against = replace(survey, verdict=verdict, sessions=survey.sessions.assign(sunlit_probability=0.0))
        said[seen] = paragraphs(replace(places, surveys={"": against}), SETTINGS.site.zone, 8)
    assert "yet a shadow was seen at the place once." in said[1][1]
    assert "yet a shadow was seen at the place 3 times." in said[3][1]
    assert "whether the probe casts a shadow" in said[3][2]
    assert not any("No recorded session was in the sun" in sentence for sentence in said[3])


def test_only_clear_days_without_sun_before_it_show_that_a_place_changes(places, survey):
    verdict = replace(survey.verdict, answer="undecided", share=0.3)
    said = {}
    for clear in (0.9, 0.1):
        first = survey.spans["date"].min()
        days = survey.days.assign(clear=np.where(survey.days["date"] <= first, clear, 0.9))
        spans = survey.spans[survey.spans["date"] > first]
        other = replace(survey, verdict=verdict, days=days, spans=spans)
        said[clear] = paragraphs(replace(places, surveys={"": other}), SETTINGS.site.zone, 8)
    assert said[0.9][0].startswith("Undecided for the whole record, because it changes: from 14 Oct on")
    assert said[0.1][0].startswith("Undecided: on 3 of 5 recorded school days the sun may have reached")


def test_what_would_settle_it_names_the_school_s_own_hours(places, survey):
    verdict = replace(survey.verdict, answer="undecided", share=0.3)
    days, hours = survey.days.assign(clear=0.1), (dt.time(9, 5), dt.time(14, 40))
    other = replace(survey, verdict=verdict, days=days, hours=hours)
    said = paragraphs(replace(places, surveys={"": other}), SETTINGS.site.zone, 8)
    assert "One clear day with the probe out from 09:05 to 14:40 would settle it; note whether" in said[1]


@pytest.mark.parametrize(
    ("answer", "likely", "days", "sky", "day"),
    [
        ("sunlit", True, "The sun reached", "The sun comes in", "the sun made the probe warmer"),
        ("shaded", False, "No sun reached", "no part of the sky that the sun passed", "shows no sun"),
        ("undecided", True, "the sun seems to have", "the sun may come in", "the sun may have made"),
        ("undecided", False, "no sun is known to have", "no part of the sky is known", "shows no sun"),
    ],
)
def test_titles_say_no_more_than_the_verdict(survey, answer, likely, days, sky, day):
    rows = slice(None) if likely else slice(0)
    found = replace(
        survey,
        verdict=replace(survey.verdict, answer=answer),
        spans=survey.spans.iloc[rows],
        openings=survey.openings.iloc[rows],
    )
    said = [title(draw(found, SETTINGS)) for draw in (days_by_clock, sky_map, clear_day)]
    assert all(words in drawn for words, drawn in zip((days, sky, day), said, strict=True))
    undecided = [drawn.startswith("Not decided yet") for drawn in said]
    assert undecided == [answer == "undecided", answer == "undecided", answer == "undecided" and likely]


def test_a_day_without_sun_claims_no_more_than_its_record_and_explains_no_hatching(survey):
    figure = clear_day(replace(survey, spans=survey.spans.iloc[:0]), SETTINGS)
    assert "the record shows no sun" in title(figure)
    assert "Hatched" not in title(figure)
    assert "Broken line" not in title(figure)


@pytest.mark.parametrize(("spacing", "gap"), [(1, 0), (1, 30), (60, 0), (60, 240)])
def test_a_record_is_one_line_whatever_its_spacing_and_broken_where_it_pauses(spacing, gap):
    clock = np.arange(0.0, 1440.0)
    celsius = np.where((clock % spacing == 0) & ~((clock >= 600) & (clock < 600 + gap)), 8.0, np.nan)
    x, y = _joined(clock, celsius)
    assert np.array_equal(x[np.isfinite(y)], clock[np.isfinite(celsius)])
    assert np.isnan(y).sum() == (gap > 0)
    assert np.array_equal(np.isnan(x), np.isnan(y))


@pytest.mark.parametrize(("hours", "drawn"), [(2.0, True), (9.0, False)])
def test_the_air_is_drawn_straight_under_short_stretches_of_sun_alone(survey, hours, drawn):
    spans = survey.spans.iloc[:1].copy()
    noon = dt.datetime.combine(spans["date"].iloc[0], dt.time(12), tzinfo=SETTINGS.site.zone)
    half = dt.timedelta(hours=hours / 2)
    spans["start"], spans["end"] = [noon - half], [noon + half]
    figure = clear_day(replace(survey, spans=spans), SETTINGS)
    broken = [line for axes in figure.axes for line in axes.lines if line.get_linestyle() == "--"]
    assert bool(broken) == drawn
    assert ("Broken line" in title(figure)) == drawn
    assert "Hatched" in title(figure)
