"""The survey in words: the answer, why, what would settle it, and the sessions ahead."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import numpy as np
import pandas as pd

from station.place.places import Places
from station.place.survey import Survey
from station.views import phrases
from station.views import wording_place as words

#: A session is called in the sun from this chance on, and possible from the lower one.
LIKELY, POSSIBLE = 0.7, 0.2
#: A day is clear from this chance on, and dull below the lower one.
CLEAR, DULL = 0.55, 0.3
#: Share of school days under which sun in school hours is not worth a sentence of its own.
RARE = 0.1


def paragraphs(places: Places, zone: dt.tzinfo, weeks: int) -> list[str]:
    """Return the survey as sentences, in the order a person needs them."""
    survey = places.place
    text = [*_answer(survey, zone), *_sessions(survey), *_ahead(survey, zone, weeks)]
    if len(places.ranking) > 1:
        text.append(words.RANKING.format(places=words.WINDOW_LIST.join(_ranked(places.ranking))))
    return [*text, words.SAFETY]


def answer(survey: Survey, zone: dt.tzinfo) -> str:
    """Return the first sentence alone."""
    return _answer(survey, zone)[0]


def _answer(survey: Survey, zone: dt.tzinfo) -> list[str]:
    days = survey.days[survey.days["school"].astype(bool)] if len(survey.days) else survey.days
    clear = int((days["clear"] >= CLEAR).sum()) if len(days) else 0
    mixed = int(((days["clear"] >= DULL) & (days["clear"] < CLEAR)).sum()) if len(days) else 0
    dull = len(days) - clear - mixed
    balance = words.CLEAR_OR_DULL.format(clear=clear, mixed=mixed, dull=dull)
    verdict = survey.verdict.answer
    if verdict == "shaded":
        text = [words.SHADED.format(clear=max(round(survey.verdict.clear_days), 1), days=len(days))]
        if len(survey.spans):
            text.append(words.SHADED_OTHERWISE.format(windows=_windows(survey.spans, zone)))
        return [*text, words.SHADED_WEAK, balance]
    if verdict == "sunlit":
        spans = survey.spans
        text = [words.SUNLIT.format(windows=_expected(survey, zone))]
        if len(spans):
            excess = phrases.degrees(float(np.median(spans["excess_c"])))
            text.append(
                words.SUNLIT_RECORDED.format(lit=survey.lit_days, days=len(survey.recorded), excess=excess)
            )
        if len(survey.openings):
            text.append(words.BEARING.format(openings=words.WINDOW_LIST.join(_patches(survey.openings))))
        return [*text, balance]
    hours = _in_school(survey, zone) if len(days) else survey.spans
    if not survey.verdict.shadows and survey.verdict.share > RARE and len(hours):
        first = hours["date"].min()
        # Only a clear school day before the first sun shows that something changed.
        before = ((days["date"] < first) & (days["clear"] >= CLEAR)).any()
        said = (words.CHANGES if before else words.PERHAPS).format(
            date=phrases.day(first), lit=hours["date"].nunique(), days=len(days),
            windows=_windows(hours, zone), excess=phrases.degrees(float(np.median(hours["excess_c"]))),
        )  # fmt: skip
        return [said, balance] if before else [said, _settle(words.SETTLE_WHEN, survey), balance]
    return [words.UNDECIDED, *_why(survey, len(days)), *([balance] if len(days) else [])]


def _why(survey: Survey, days: int) -> list[str]:
    if survey.exposure is None:
        return [words.WHY_NO_RECORD, *([words.SETTLE_SKETCH] if survey.sketched else [])]
    if not days:
        return [words.WHY_NO_HOURS]
    if survey.verdict.shadows:
        seen = survey.verdict.shadows
        times = words.ONCE if seen == 1 else words.TIMES.format(n=seen)
        return [words.WHY_SHADOW.format(times=times), words.SETTLE_SHADOW]
    settle = _settle(words.SETTLE_DULL, survey)
    if len(survey.openings) and (survey.openings["probability"] < 0.5).any():
        return [words.WHY_CLOCK.format(when=""), words.SETTLE_CLOCK]
    if survey.verdict.clear_days < 2.5:
        return [words.WHY_DULL.format(days=days, clear=phrases.number(survey.verdict.clear_days)), settle]
    return [words.WHY_WEAK.format(when=""), settle]


def _settle(sentence: str, survey: Survey) -> str:
    """Return what would settle it, with the school's hours."""
    return sentence.format(**{k: f"{at:%H:%M}" for k, at in zip(("start", "end"), survey.hours, strict=True)})


def _in_school(survey: Survey, zone: dt.tzinfo) -> pd.DataFrame:
    """Return the spans of sun that reach into school hours of a school day."""
    school = survey.days.set_index("date")["school"]
    kept = [
        bool(school.get(date, False)) and _within_hours(start, end, survey, zone)
        for date, start, end in survey.spans[["date", "start", "end"]].itertuples(index=False)
    ]
    return survey.spans[kept]


def _within_hours(start: dt.datetime, end: dt.datetime, survey: Survey, zone: dt.tzinfo) -> bool:
    begin, stop = survey.hours
    return start.astimezone(zone).time() < stop and end.astimezone(zone).time() > begin


def _expected(survey: Survey, zone: dt.tzinfo) -> str:
    """Name the windows of the last recorded day by the calendar, else those that were seen."""
    calendar = survey.calendar
    row = len(survey.days) - 1
    dates = survey.days["date"].tolist()
    index = (dates[row] - dates[0]).days
    edges = calendar.edges[index] if 0 <= index < len(calendar.edges) else []
    if not edges:
        return _windows(survey.spans, zone)
    start = pd.Timestamp(calendar.days.start[index], tz="UTC")
    step = pd.Timedelta(minutes=calendar.days.step)
    return words.WINDOW_LIST.join(
        words.WINDOW.format(start=_clock(start + e[0] * step, zone), end=_clock(start + e[1] * step, zone))
        for e in _merged(edges)
    )


def _merged(edges: Sequence[tuple[float, ...]]) -> list[tuple[float, float]]:
    """Join windows that overlap."""
    out: list[tuple[float, float]] = []
    for start, end, *_ in sorted(edges):
        if out and start <= out[-1][1]:
            out[-1] = (out[-1][0], max(out[-1][1], end))
        else:
            out.append((start, end))
    return out


def _windows(spans: pd.DataFrame, zone: dt.tzinfo) -> str:
    """Name the earliest start and the latest end among all spans of each half of the day."""
    local = [
        (a.astimezone(zone), b.astimezone(zone)) for a, b in spans[["start", "end"]].itertuples(index=False)
    ]
    halves = [[w for w in local if (w[0].hour < 12) == morning] for morning in (True, False)]
    return words.WINDOW_LIST.join(
        words.WINDOW.format(start=min(f"{a:%H:%M}" for a, _ in half), end=max(f"{b:%H:%M}" for _, b in half))
        for half in halves
        if half
    )


def _clock(moment: Any, zone: dt.tzinfo) -> str:
    return f"{moment.tz_convert(zone):%H:%M}"


def _patches(openings: pd.DataFrame) -> list[str]:
    keys = ["azimuth_from", "azimuth_to", "elevation_from", "elevation_to"]
    likely = openings[openings["probability"] >= 0.5]
    return [
        words.OPENING.format(**{k: f"{v:.0f}°" for k, v in zip(keys, row, strict=True)})
        for row in likely[keys].itertuples(index=False, name=None)
    ]


def _sessions(survey: Survey) -> list[str]:
    if not len(survey.sessions):
        return []
    lit = survey.sessions[survey.sessions["sunlit_probability"] >= 0.5]
    if lit.empty:
        # Where shadows were seen nobody knows.
        return [] if survey.verdict.shadows else [words.SESSIONS_NONE]
    names = [f"{phrases.day(d)} {s}" for d, s in lit[["date", "session"]].itertuples(index=False)]
    return [words.SESSIONS_LIT.format(sessions=phrases.listed(names, 6))]


def _ahead(survey: Survey, zone: dt.tzinfo, weeks: int) -> list[str]:
    table = survey.forecast
    if not len(table):
        return []
    chance = table["sunlit_probability"]
    text = []
    lit = _stretches(table, (chance >= LIKELY).tolist())
    if lit:
        text.append(words.FORECAST_LIT.format(sessions=phrases.listed(lit, 6)))
    elif not chance.isna().all():
        text.append(words.FORECAST_NONE.format(weeks=weeks))
    maybe = _stretches(table, ((chance >= POSSIBLE) & (chance < LIKELY)).tolist())
    if maybe:
        text.append(words.FORECAST_MAYBE.format(sessions=phrases.listed(maybe, 6)))
    unsure = _stretches(table, chance.isna().tolist())
    if unsure:
        text.append(words.FORECAST_UNSURE.format(sessions=phrases.listed(unsure, 6)))
    dates = table["date"].tolist()
    for before, after in pairwise(dates):
        noon = [dt.datetime.combine(d, dt.time(12), tzinfo=zone).utcoffset() for d in (before, after)]
        if noon[0] != noon[1]:
            text.append(words.CLOCK_CHANGE.format(date=phrases.day(_change(before, after, zone))))
    return text


def _change(before: dt.date, after: dt.date, zone: dt.tzinfo) -> dt.date:
    day = before
    while day < after:
        following = day + dt.timedelta(days=1)
        pair = [dt.datetime.combine(d, dt.time(12), tzinfo=zone).utcoffset() for d in (day, following)]
        if pair[0] != pair[1]:
            return following
        day = following
    return after


def _stretches(table: pd.DataFrame, chosen: Sequence[bool]) -> list[str]:
    """Name sessions in stretches: "afternoon from 2 Nov to 13 Nov"."""
    text = []
    for name in table["session"].unique():
        mine = [(d, c) for d, s, c in zip(table["date"], table["session"], chosen, strict=True) if s == name]
        first: dt.date | None = None
        for i, (date, yes) in enumerate(mine):
            if yes and first is None:
                first = date
            last = i == len(mine) - 1 or not mine[i + 1][1]
            if yes and last and first is not None:
                shape = words.SESSION_ONE if first == date else words.SESSION_RUN
                text.append(shape.format(session=name, first=phrases.day(first), last=phrases.day(date)))
                first = None
    return text


def _ranked(ranking: pd.DataFrame) -> list[str]:
    out = []
    for name, verdict, minutes, share in ranking.itertuples(index=False, name=None):
        name = name or words.THE_PLACE
        if verdict == "undecided":
            name = words.UNCERTAIN_PLACE.format(name=name)
        shown = phrases.minutes(float(minutes))
        out.append(words.RANKED.format(name=name, minutes=shown, share=f"{100 * float(share):.0f} %"))
    return out
