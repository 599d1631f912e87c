"""A day to doubt the probe: its record of the day it was in trouble, and the cards that stood beside it."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pandas as pd

from station.assess import Assessment
from station.base.time import to_utc
from station.record.model import Fault
from station.views import phrases
from station.views.web.together import wording
from station.views.web.together.cards import distances
from station.views.web.together.lessons.scene import Needs, Scene, Unit
from station.views.web.together.paper import Format, Scale, both, fit, sheet
from station.views.web.together.svg import Drawing

#: Troubles worth a lesson, the plainest first.
KINDS = ("power_on_value", "disconnected_value", "indoors", "out_of_range", "stuck", "step", "gap")
#: Values further than this from the cards are written at the end of the scale [degC].
FAR_C = 15.0
#: Points drawn for a day.
POINTS = 240


def probe_day(assessment: Assessment) -> Scene | Needs:
    """Show the plainest trouble of the record on a school day that has cards of at least one session."""
    cards = distances(assessment)
    found = _day(assessment, cards)
    if found is None:
        return Needs(wording.PROBE_DAY_NEED)
    date, fault = found
    unit, zone = Unit.of(assessment), assessment.settings.site.zone
    school = assessment.settings.school
    start, end = to_utc(date, school.day_start, zone), to_utc(date, school.day_end, zone)
    samples = assessment.samples
    samples = samples[(samples["time"] >= start) & (samples["time"] <= end)]
    every = max(1, len(samples) // POINTS)
    hours = ((samples["time"] - start).dt.total_seconds() / 3600.0).to_numpy(np.float64)[::every]
    values = (samples["celsius"] * unit.factor + unit.zero).to_numpy(np.float64)[::every]
    middles = _middles(assessment, cards, date, start)
    number = wording.PROBE_DAY_NUMBER.format(
        day=phrases.day(date, weekday=True), kind=phrases.kind(fault.kind)
    )
    length = (end - start).total_seconds() / 3600.0
    says = f"{wording.PROBE_DAY_SEE} {number}"
    typical = float(np.median([value for _, value in middles]))
    near = values[np.abs(values - typical) <= FAR_C * unit.factor]
    scale = fit([*(v for _, v in middles), *near.tolist()], unit.mark, unit.sign, 10.0 if unit.zero else 5.0)
    first = start.astimezone(zone)
    return Scene(
        ask=wording.PROBE_DAY_ASK.format(cards=unit.reads(typical)),
        picture=both(lambda paper: _draw(hours, values, middles, length, first, scale, unit, says, paper)),
        see=wording.PROBE_DAY_SEE,
        numbers=(number,),
        more=(wording.PROBE_DAY_MORE,),
        what=wording.PROBE_DAY_WHAT.format(day=phrases.day(date, weekday=True)),
    )


def _day(assessment: Assessment, cards: pd.DataFrame) -> tuple[dt.date, Fault] | None:
    if cards.empty:
        return None
    zone = assessment.settings.site.zone
    with_cards = set(cards["date"])
    for kind in KINDS:
        for fault in assessment.probe.faults:
            if fault.kind != kind:
                continue
            first, last = fault.start.astimezone(zone).date(), fault.end.astimezone(zone).date()
            for n in range((last - first).days + 1):
                date = first + dt.timedelta(days=n)
                if date in with_cards and _touches(assessment, fault, date):
                    return date, fault
    return None


def _touches(assessment: Assessment, fault: Fault, date: dt.date) -> bool:
    """Tell whether a trouble lay over a session with cards on a date."""
    rows = assessment.sessions
    mine = rows[(rows["date"] == date) & (rows["readings"] > 0)]
    return bool(((mine["start"] < fault.end) & (mine["end"] > fault.start)).any())


def _middles(
    assessment: Assessment, cards: pd.DataFrame, date: dt.date, start: dt.datetime
) -> list[tuple[float, float]]:
    """Return the middle card of each session of a day: hours after the start of school, and value."""
    rows = assessment.sessions[assessment.sessions["date"] == date]
    out = []
    for part, begins in rows[["session", "start"]].itertuples(index=False):
        mine = cards[(cards["date"] == date) & (cards["session"] == part)]
        if len(mine):
            out.append(((begins - start).total_seconds() / 3600.0, float(mine["middle"].iloc[0])))
    return out


def _draw(
    hours: np.ndarray,
    values: np.ndarray,
    middles: list[tuple[float, float]],
    length: float,
    first: dt.datetime,
    scale: Scale,
    unit: Unit,
    says: str,
    paper: Format,
) -> Drawing:
    right = paper.width - 0.6 * paper.letters
    drawing = sheet(paper, says, scale, right=right)

    def x(hour: float) -> float:
        return paper.left + (right - paper.left) * hour / length

    seen = list(zip(hours.tolist(), values.tolist(), strict=True))
    run: list[tuple[float, float]] = []
    for hour, value in [*seen, (float("nan"), float("nan"))]:
        if scale.holds(value) and (not run or x(hour) - run[-1][0] < 0.06 * (right - paper.left)):
            run.append((x(hour), scale.y(value, paper)))
            continue
        if len(run) > 1:
            drawing.path(run, "probe-line")
        run = [(x(hour), scale.y(value, paper))] if scale.holds(value) else []
    beyond = [value for _, value in seen if not scale.holds(value)]
    if len(beyond) > 0.2 * len(seen):
        typical = float(np.median(beyond))
        up = typical > scale.high
        words = wording.PROBE_DAY_ABOVE if up else wording.PROBE_DAY_BELOW
        y = paper.top + 0.3 * paper.letters if up else paper.bottom - 0.5 * paper.letters
        fill = drawing.hatch(f"hatch-{paper.name}", 0.3 * paper.letters)
        drawing.rect(
            paper.left,
            y - 0.75 * paper.letters,
            right - paper.left,
            1.5 * paper.letters,
            "probe-stripe",
            fill=fill,
        )
        drawing.text(
            (paper.left + right) / 2, y, words.format(value=unit.reads(round(typical))), "probe-word halo",
            paper.letters, "middle",
        )  # fmt: skip
    for hour, value in middles:
        drawing.circle(x(hour), scale.y(value, paper), paper.dot, "dot")
    every = 2 if (right - paper.left) / length > 2.4 * paper.letters else 3
    begin = first.hour + first.minute / 60.0
    for clock in range(int(np.ceil(begin)), int(begin + length) + 1):
        if clock % every == 0:
            words = f"{clock}:00" if paper.name == "wide" else str(clock)
            drawing.text(
                x(clock - begin), paper.bottom + 0.72 * paper.letters, words,
                "soft", paper.letters, "middle",
            )  # fmt: skip
    return drawing
