"""Windows that come again: over pauses, all day long, and what is left unsaid where limits are wide."""

import datetime as dt
from dataclasses import replace
from types import SimpleNamespace
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest

from station.base.sun import position
from station.place import exposure, recurring
from station.place.days import Days
from station.place.forecast import OUTSIDE, Calendar, bare, forecast_table, sky_calendar
from station.place.gaps import BRIEF
from station.place.ground import prepare
from station.place.hints import Beside
from station.place.openings import Edge
from station.place.recurring import Opening, _distinct
from station.place.spans import day_table, sun_spans
from station.place.survey import Survey, survey
from station.place.windows import Window
from station.record.columns import SAMPLES
from station.record.model import School, SessionPart, Sessions, Site

SITE = Site(ZoneInfo("America/Chicago"), "place", 44.3, -91.4, 220.0)
ROOF = Site(ZoneInfo("Europe/Berlin"), "place", 49.6, 10.0, 0.0)


def all_day(excess_c: float, days: int = 6) -> pd.DataFrame:
    """A place that nothing shades, under a sky whose clouds come and go on every second day."""
    rng = np.random.default_rng(3)
    start = pd.Timestamp(dt.date(2026, 9, 7), tz=SITE.zone).tz_convert("UTC")
    times = pd.date_range(start, periods=days * 1440, freq="1min").as_unit("us")
    sun = position(times, SITE.latitude, SITE.longitude)
    minute = np.arange(times.size)
    sky = np.where((minute // 1440) % 2 == 0, 1.0, rng.random(times.size // 15 + 1)[minute // 15] < 0.5)
    beam = np.clip(np.sin(np.radians(sun.elevation_deg)) / 0.3, 0, 1)
    air = 14 - 5 * np.cos(2 * np.pi * (minute - 180) / 1440) + rng.normal(0, 0.05, times.size)
    felt = excess_c * beam * sky * rng.normal(1, 0.1, times.size)
    for i in range(1, felt.size):
        felt[i] = 0.4 * felt[i - 1] + 0.6 * felt[i]
    return pd.DataFrame({"time": times, "celsius": np.round((air + felt) * 16) / 16}).astype(dict(SAMPLES))


def test_a_place_that_nothing_shades_is_sunlit_all_day():
    found = survey(all_day(3.5), SITE)
    assert found.verdict.answer == "sunlit"
    school = found.calendar.open[:, 510:900].mean()  # 08:30 to 15:00, a minute a column of solar time
    assert school > 0.9


def test_a_whole_day_of_sun_is_no_door_s(monkeypatch):
    monkeypatch.setattr(recurring, "door_log_odds", lambda *_: 20.0)
    found = survey(all_day(3.5), SITE).exposure
    assert found.all_day > 0.7
    assert found.openings[0].real >= found.all_day


def test_windows_that_explain_the_days_better_speak_against_the_whole_day(monkeypatch):
    told = recurring._all_day
    monkeypatch.setattr(recurring, "_all_day", lambda *args: (told(*args)[0], -200.0))
    monkeypatch.setattr(recurring, "low_sun_log_odds", lambda *_: 0.0)  # which speaks for it here
    assert survey(all_day(3.5), SITE).exposure.all_day < 0.5


@pytest.mark.parametrize(("chance", "drawn"), [(0.65, False), (0.75, True)])
def test_a_whole_day_is_drawn_once_it_is_twice_as_likely_as_not(monkeypatch, chance, drawn):
    monkeypatch.setattr(recurring, "_all_day_log_odds", lambda *_: np.log(chance / (1 - chance)))
    asked = []
    for name in ("gaps", "_without_sun"):  # nothing shades what is drawn as open all day
        plain = getattr(exposure, name)
        monkeypatch.setattr(exposure, name, lambda *a, n=name, f=plain: asked.append(n) or f(*a))
    found = survey(all_day(0.0), SITE)
    assert set(asked) == (set() if drawn else {"gaps", "_without_sun"})
    assert found.exposure.all_day == pytest.approx(chance)
    assert bool(found.exposure.openings) == drawn
    assert found.forecast["sunlit_probability"].isna().all() != drawn  # too likely for a small chance
    assert (found.calendar.open > 0.5).any() == drawn
    assert found.verdict.answer == ("sunlit" if drawn and len(found.spans) else "undecided")


@pytest.mark.parametrize(("warmth_c", "open_"), [(0.95, True), (0.85, False)])
def test_a_long_window_that_hardly_warms_is_not_said_to_be_open(monkeypatch, warmth_c, open_):
    frame, _ = under_a_roof(30.0)
    monkeypatch.setattr(recurring, "_warmth", lambda *_: warmth_c)
    calendar = survey(frame, ROOF).calendar
    assert (calendar.open > 0.5).any() == open_


def test_the_same_air_without_the_sun_is_not_sunlit():
    found = survey(all_day(0.0), SITE)
    assert found.verdict.answer != "sunlit"
    assert not len(found.spans)


def under_a_roof(line_deg: float) -> tuple[pd.DataFrame, np.ndarray]:
    """Twelve clear days of a window from 188 to 203 degrees under a roof's level edge, and the truth."""
    return twelve_days(dt.date(2026, 1, 28), (188.0, 203.0), (0.0, line_deg))


def twelve_days(
    first: dt.date, azimuth: tuple[float, float], elevation: tuple[float, float]
) -> tuple[pd.DataFrame, np.ndarray]:
    """Twelve clear days of a window between upright and level lines, and the truth."""
    rng = np.random.default_rng(4)
    start = pd.Timestamp(first, tz=ROOF.zone).tz_convert("UTC")
    times = pd.date_range(start, periods=12 * 1440, freq="1min").as_unit("us")
    sun = position(times, ROOF.latitude, ROOF.longitude)
    minute = np.arange(times.size)
    lit = (sun.azimuth_deg > azimuth[0]) & (sun.azimuth_deg < azimuth[1])
    lit &= (sun.elevation_deg > elevation[0]) & (sun.elevation_deg < elevation[1])
    air = 4 - 4 * np.cos(2 * np.pi * (minute - 180) / 1440) + rng.normal(0, 0.05, times.size)
    warm = 5.0 * lit * rng.normal(1, 0.1, times.size)
    for i in range(1, warm.size):
        warm[i] = 0.4 * warm[i - 1] + 0.6 * warm[i]
    frame = pd.DataFrame({"time": times, "celsius": np.round((air + warm) * 16) / 16})
    return frame.astype(dict(SAMPLES)), lit


@pytest.mark.parametrize(
    "drawn",
    [
        (dt.date(2026, 1, 28), (188.0, 203.0), (0.0, 22.0)),
        # Near noon, where either edge may shut it: the sun sinks under the line, and climbs over it.
        (dt.date(2026, 10, 9), (175.0, 186.0), (31.2, 90.0)),
        (dt.date(2026, 3, 1), (175.0, 186.0), (0.0, 35.0)),
    ],
)
def test_a_line_that_shuts_a_window_within_days_is_followed_to_the_day_on_which_it_is_shut(drawn):
    frame, lit = twelve_days(*drawn)
    calendar = survey(frame, ROOF).calendar
    stamps = frame["time"].dt.tz_convert(None).to_numpy("datetime64[us]")
    row = np.searchsorted(calendar.days.start, stamps, side="right") - 1
    column = (stamps - calendar.days.start[row]) // np.timedelta64(calendar.days.step, "m")
    said = calendar.open[row, column.astype(int)] > 0.5
    by_day = lit.reshape(12, 1440).sum(axis=1)
    assert by_day[0] > 35  # the truth: most of an hour on the first day, none on the last three
    assert not by_day[-3:].any()
    assert not said.reshape(12, 1440)[-3:].any()
    assert (said ^ lit).sum() < 20  # minutes of twelve days


def beside_a_door() -> tuple[pd.DataFrame, np.ndarray]:
    """Two weeks of a window of 45 minutes, on clear days, and of a door that opens as the sun leaves."""
    rng = np.random.default_rng(8)
    start = pd.Timestamp(dt.date(2026, 2, 2), tz=ROOF.zone).tz_convert("UTC")
    times = pd.date_range(start, periods=14 * 1440, freq="1min").as_unit("us")
    sun = position(times, ROOF.latitude, ROOF.longitude)
    minute, local = np.arange(times.size), times.tz_convert(ROOF.zone)
    day = minute // 1440
    lit = (sun.azimuth_deg > 178) & (sun.azimuth_deg < 190)
    sky = np.isin(day, [0, 3, 5, 8, 9])
    clock = local.hour * 60 + local.minute
    open_ = (local.day_of_week < 5) & (clock >= 780) & (clock < 800)
    swing = np.where(sky, 4.0, 1.0)  # a clear day's air shows that it was clear
    air = 4 - swing * np.cos(2 * np.pi * (minute - 180) / 1440) + rng.normal(0, 0.05, times.size)
    felt = np.where(lit & sky, 4.0, 4.0 * open_) * rng.normal(1, 0.1, times.size)
    for i in range(1, felt.size):
        felt[i] = 0.4 * felt[i - 1] + 0.6 * felt[i]
    frame = pd.DataFrame({"time": times, "celsius": np.round((air + felt) * 16) / 16})
    return frame.astype(dict(SAMPLES)), lit


def test_a_door_that_opens_as_the_sun_leaves_does_not_keep_its_window_open():
    frame, lit = beside_a_door()
    calendar = survey(frame, ROOF).calendar
    stamps = frame["time"].dt.tz_convert(None).to_numpy("datetime64[us]")
    row = np.searchsorted(calendar.days.start, stamps, side="right") - 1
    column = (stamps - calendar.days.start[row]) // np.timedelta64(calendar.days.step, "m")
    said = calendar.open[row, column.astype(int)] > 0.5
    assert (said ^ lit).sum() / 14 < 4  # minutes a day; 9 if the door's minutes are asked


@pytest.mark.parametrize("told", [True, False])
def test_a_door_is_told_by_the_sky_that_a_probe_in_the_open_saw(monkeypatch, told):
    frame, _ = beside_a_door()
    asked, weigh = [], recurring.door_log_odds
    monkeypatch.setattr(recurring, "door_log_odds", lambda *given: asked.append(given) or weigh(*given))

    def beside(days: Days) -> Beside:
        out = np.where(np.arange(len(days.start)) % 2, 1.0, 0.0)[:, None] * np.ones(days.celsius.shape)
        return Beside(np.full(out.shape, np.nan), out if told else np.full(out.shape, np.nan))

    exposure.expose(frame, ROOF, beside=beside)
    assert asked
    for _, rows, edges, _, _, _, out, *_ in asked:
        assert len(rows)
        sky = np.array([out[row, a:b].mean() for row, (a, b) in zip(rows, edges, strict=True)])
        assert np.array_equal(sky > 0.5, rows % 2 == 1) == told


@pytest.mark.parametrize("left_min", [0, 10])
def test_a_sun_that_looks_like_a_door_by_the_clock_stays_a_window(monkeypatch, left_min):
    frame, _lit = under_a_roof(22.0)
    plain = max(survey(frame, ROOF).exposure.openings, key=lambda o: o.seen)

    def taken_for_a_door(cells, *_):
        doors = np.ones(cells.shape, bool)
        for row, (a, _b) in plain.window.rows.items():
            doors[row, : a + left_min // 2] = False
        return doors if left_min else np.ones(cells.shape, bool)

    monkeypatch.setattr(recurring, "by_the_clock", taken_for_a_door)
    kept = max(survey(frame, ROOF).exposure.openings, key=lambda o: o.seen)
    assert kept.real == pytest.approx(plain.real)
    assert kept.window == plain.window


@pytest.mark.parametrize("wide", [False, True])
def test_an_edge_whose_limits_lie_far_apart_has_limits_and_no_time(wide):
    day = dt.date(2026, 10, 5)
    days = bare(day, day, SITE, 2)
    half = (55.0 if wide else 35.0) / 2 / 2  # columns of two minutes
    edges = (330.0, 420.0, 330 - half, 330 + half, 418.0, 422.0)
    calendar = Calendar(days, np.full(days.azimuth.shape, 0.9), [[edges]], np.zeros(1, bool))
    sessions = replace(Sessions(), parts=(SessionPart("noon", dt.time(13), 15),))
    (row,) = forecast_table(calendar, School(), sessions, SITE, day, day).to_dict("records")
    assert pd.isna(row["start"]) == wide
    assert row["end"] is not pd.NaT
    assert row["start_low"] < row["start_high"]


@pytest.mark.parametrize("known", [False, True])
@pytest.mark.parametrize("chance", [0.01, 0.9])
def test_where_shade_is_not_known_a_small_chance_is_not_said(known, chance):
    day = dt.date(2026, 10, 5)
    days = bare(day, day, SITE, 2)
    calendar = Calendar(days, np.full(days.azimuth.shape, chance), [[]], np.zeros(1, bool))
    table = forecast_table(calendar, School(), Sessions(), SITE, day, day, known)
    assert table["sunlit_probability"].isna().all() == (not known and chance < 0.1)


def test_a_noisy_probe_in_the_shade_is_not_taken_for_a_place_in_the_sun():
    frame = all_day(0.0)
    frame["celsius"] += np.round(np.random.default_rng(5).normal(0, 0.4, len(frame)) * 16) / 16
    found = survey(frame, SITE)
    assert found.verdict.answer != "sunlit"
    assert found.exposure.all_day < 0.1


@pytest.fixture(scope="module")
def court() -> Survey:
    """A shaded place: the same air without the sun."""
    return survey(all_day(0.0), SITE)


@pytest.mark.parametrize(("whole", "least", "most"), [(0.0, 0.0, 0.1), (0.4, 0.4, 0.5), (0.9, 0.0, 0.1)])
def test_a_whole_day_that_may_be_open_is_in_every_coming_hour_s_chance(court, whole, least, most):
    """Once it is likelier than not, it is an opening of its own or not told, and not counted twice."""
    found = replace(court.exposure, openings=(), gaps=np.zeros_like(court.exposure.gaps), all_day=whole)
    calendar = sky_calendar(found, SITE, dt.date(2026, 9, 14), dt.date(2026, 9, 15))
    school = calendar.open[:, 510:900]
    assert school.min() >= least
    assert school.max() < most


def opening(rows: dict[int, tuple[int, int]], azimuth: tuple[float, float], seen: float) -> Opening:
    """A window seen on some rows, between two upright lines."""

    def edge(entering: bool, line: float) -> Edge:
        return Edge(entering, entering, np.array([line]), np.array([-3.0]), np.ones((1, 1)))

    return Opening(Window(rows), edge(True, azimuth[0]), edge(False, azimuth[1]), 0.99, seen)


@pytest.mark.parametrize("wide", [False, True])
def test_a_window_seen_inside_an_opening_is_a_second_view_of_it_however_wide_its_edges(court, wide):
    found = court.exposure
    ground = SimpleNamespace(path=found.path, celsius=found.lit)
    inside = np.flatnonzero((found.path.azimuth[0] > 172) & (found.path.azimuth[0] < 178))
    own = {0: (int(inside[0]), int(inside[-1]) + 1)}
    first = opening(dict.fromkeys(range(4), own[0]), (170.0, 180.0), 60.0)
    second = opening(own, (170.0, 215.0) if wide else (171.0, 179.0), 30.0)
    assert _distinct([second, first], ground) == (first,)
    beyond = opening({0: (int(inside[-1]) + 30, int(inside[-1]) + 50)}, (185.0, 215.0), 30.0)
    assert _distinct([beyond, first], ground) == (beyond, first)


def test_a_window_asked_without_a_door_s_minutes_keeps_out_of_the_door_s_own(monkeypatch):
    ground = prepare(all_day(0.0), SITE, None, None, None, None, False, 20.5)
    door, sun = Window({1: (100, 108)}), Window({1: (120, 150)})
    doors = np.zeros(ground.celsius.shape, bool)
    doors[:, 98:124] = True
    asked = []
    monkeypatch.setattr(recurring, "by_the_clock", lambda *_: doors)
    monkeypatch.setattr(recurring, "replace", lambda reading, **_: reading)
    monkeypatch.setattr(
        recurring, "_opening", lambda *args: asked.append(args[:2]) or SimpleNamespace(real=1.0)
    )
    reading = SimpleNamespace(lit=None, steps=SimpleNamespace(without=lambda _: None))
    judged = [SimpleNamespace(real=0.1), SimpleNamespace(real=0.9)]
    drawn = recurring._without_doors([door, sun], judged, ground, reading, doors, None, School(), SITE)
    ((left, windows),) = asked  # nothing of the door's window is left to ask
    assert left.rows == {1: (124, 150)}
    assert windows == [door, left]
    assert drawn[0] is judged[0]
    assert drawn[1] is not judged[1]


@pytest.mark.parametrize(("told", "a_day"), [(False, -1.0), (True, -5.0)])
def test_a_day_speaks_in_full_against_a_place_in_the_sun_only_where_its_sky_is_known(
    monkeypatch, told, a_day
):
    ground = prepare(all_day(0.0), SITE, None, None, None, None, False, 20.5)
    ground = replace(ground, told=np.full(ground.told.shape, told))
    monkeypatch.setattr(recurring, "passages", lambda *_: None)
    monkeypatch.setattr(recurring, "sun_against_chance", lambda _, weights, *__: np.full(len(weights), -5.0))
    window, sum_ = recurring._all_day(ground, SimpleNamespace(steps=None, change=0.1))
    assert sum_ == pytest.approx(a_day * len(window.rows))


def test_a_dark_part_of_an_opening_tells_nothing_of_a_day_s_sky(court):
    found = court.exposure
    row, noon = 3, found.path.noon[0]
    open_, gaps = np.zeros_like(found.open), np.zeros_like(found.gaps)
    open_[row, noon - 30 : noon + 30] = 1.0
    gaps[row, noon - 30 : noon] = 1.0
    lit = np.where(gaps > 0, 0.0, open_)
    clear = [
        day_table(replace(found, open=open_, gaps=g, lit=lit), SITE, School())["clear"][row]
        for g in (gaps, np.zeros_like(gaps))
    ]
    assert clear[0] > clear[1] + 0.1


def test_shade_that_was_seen_in_an_hour_is_told_of_the_same_minutes_of_a_coming_day(court):
    found = court.exposure
    hour = slice(found.path.noon[0], found.path.noon[0] + 60 // found.days.step)
    seen = np.zeros_like(found.evidence)
    seen[:, hour] = -3.0
    found = replace(found, openings=(), gaps=np.zeros_like(found.gaps), all_day=0.0, evidence=seen)
    day = dt.date(2026, 9, 14)
    open_ = sky_calendar(found, SITE, day, day).open[0]
    shut = np.flatnonzero(open_ < 0.5 * open_.max())
    shut = shut[(shut > 420) & (shut < 1020)]
    begin = (found.first + hour.start) * found.days.step
    assert (shut.min(), shut.max() + 1, len(shut)) == (begin, begin + 60, 60)


def test_limits_of_an_edge_leave_as_much_on_either_side_as_they_say(court):
    """Lines of equal weight: the limits leave out the same share of them on both sides."""
    lines = np.linspace(170.0, 190.0, 201)
    entering = Edge(True, True, lines, np.array([-3.0]), np.ones((201, 1)) / 201)
    leaving = Edge(False, True, np.array([215.0]), np.array([90.0]), np.ones((1, 1)))
    one = Opening(Window({0: (300, 400)}), entering, leaving, 0.99, 60.0)
    found = replace(court.exposure, openings=(one,), gaps=np.zeros_like(court.exposure.gaps), all_day=0.0)
    day = dt.date(2026, 9, 14)
    calendar = sky_calendar(found, SITE, day, day)
    ((edges,),) = calendar.edges
    middle, low, high = (np.interp(edges[i], np.arange(1440), calendar.days.azimuth[0]) for i in (0, 2, 3))
    assert [middle, low, high] == pytest.approx([180.0, 170 + 20 * OUTSIDE, 190 - 20 * OUTSIDE], abs=0.3)


@pytest.mark.parametrize(("gap", "spans"), [(0.0, 1), (BRIEF, 1), (0.9, 0)])
def test_a_short_stretch_between_gaps_is_a_span_and_warmth_inside_a_gap_is_none(court, gap, spans):
    found = court.exposure
    lit, noon = np.zeros_like(found.lit), found.path.noon[0]
    lit[2, noon : noon + 4] = 0.9
    one = replace(found, lit=lit, open=np.full_like(lit, 0.97), gaps=np.full_like(lit, gap))
    assert len(sun_spans(one)) == spans


@pytest.mark.parametrize(
    ("warm", "height_deg", "sudden"),
    [
        ((0, 240), 30.0, True),
        ((40, 240), 30.0, False),  # it comes slowly
        ((0, 200), 30.0, False),  # it goes slowly
        ((40, 200), 10.0, True),  # a low sun comes and goes slowly
        ((130, 220), 30.0, True),  # so little of the window tells of clouds
    ],
)
@pytest.mark.parametrize("step", [1, 20])
def test_the_warmth_of_a_long_window_comes_and_goes_at_its_edges_where_the_sun_stands_high(
    warm, height_deg, sudden, step
):
    lit = np.zeros((3, 600))
    lit[:, 120 + warm[0] : 120 + warm[1]] = 1.0
    lit[2] = 0.0  # a dull day
    lit = lit[:, ::step]
    ground = SimpleNamespace(
        days=SimpleNamespace(step=step), path=SimpleNamespace(elevation=np.full(lit.shape, height_deg))
    )
    rows, edges = np.arange(3), np.full((3, 2), (120 // step, 360 // step))
    assert recurring._at_once(rows, edges, ground, lit) == sudden
