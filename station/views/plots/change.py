"""Before and after: a team's errors about its coaching, a thermometer's about the day it changed."""

from __future__ import annotations

import datetime as dt
import math

import numpy as np
import numpy.typing as npt
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from station.assess import Assessment
from station.findings.changes import Change
from station.views import found, phrases
from station.views import wording_findings as words
from station.views.plots import lanes, style

ROW_IN, ACROSS = 2.6, 2
REACH_C = 4.0
#: What shows as a lean; of anything else the cards that show it are marked.
LEANS = ("eye_line", "read_too_soon")


@style.drawn
def before_and_after(assessment: Assessment) -> Figure:
    """Draw each changed team's errors over the days [degC], thermometers' offsets out, and its leans.

    The line is the day of the coaching or the new pair; a bar on either side is the team's lean with its
    95 % limits.
    """
    changes = sorted(assessment.findings.changes, key=lambda c: (c.team, c.date))
    rows = assessment.readings
    y = rows["error_without_offset"] - assessment.common.value
    if not changes or not y.notna().any():
        return style.instead(words.CHANGE_NONE)
    names = [words.CHANGE_NAME.format(team=c.team, kind=words.CAUSES[c.kind]) for c in changes]
    sentence = " ".join([words.CHANGE_SENTENCE, *(found.tell_change(c) for c in changes)])
    across = min(ACROSS, len(changes))
    figure, place = style.page(sentence, lanes.room_for(len(changes), across, ROW_IN), words.CHANGE_NOTES)
    for axes, change in zip(lanes.panels(figure, place, names, across, ROW_IN), changes, strict=True):
        mine = (rows["team"] == change.team) & y.notna() & ~lanes.in_doubt(assessment)
        if change.kind in LEANS:
            _panel(axes, rows[mine], y[mine], change.date)
            _leans(axes, assessment.segments, change)
        else:
            shown = found.rows_of(assessment, change)
            _panel(axes, rows[mine], y[mine], change.date, rows.index[mine].isin(shown))
    return figure


@style.drawn
def thermometer_steps(assessment: Assessment) -> Figure:
    """Draw the errors of each thermometer that changed [degC], teams' leans out, about the day it changed."""
    rows = assessment.readings
    y = rows["error"] - lanes.lean_of(assessment) - assessment.common.value
    steps = [
        f
        for findings in assessment.findings.thermometers.values()
        for f in findings
        if f.kind == "column_separated"
    ]
    if not steps or not y.notna().any():
        return style.instead(words.STEP_NONE)
    sentence = " ".join(found.tell(assessment, step).sentence for step in steps)
    across = min(ACROSS, len(steps))
    names = [words.NUMBER.format(number=step.subject) for step in steps]
    figure, place = style.page(sentence, lanes.room_for(len(steps), across, ROW_IN), words.STEP_NOTES)
    for axes, step in zip(lanes.panels(figure, place, names, across, ROW_IN), steps, strict=True):
        mine = (rows["thermometer"] == step.subject) & y.notna() & ~lanes.in_doubt(assessment)
        date = rows["date"].iloc[list(step.rows)].min()
        _panel(axes, rows[mine], y[mine], date)
        for part in (rows["date"] < date, rows["date"] >= date):
            value = float(y[mine & part].median())
            span = rows.loc[mine & part, "date"]
            if len(span):
                _bar(axes, span.min(), span.max(), value, math.nan, math.nan)
    return figure


def _panel(
    axes: Axes, rows: pd.DataFrame, y: pd.Series, date: dt.date, shown: npt.NDArray[np.bool_] | None = None
) -> None:
    lanes.days(axes, [*rows["date"], date])
    reach = float(np.clip(y.abs().max() * 1.15, 2.0, REACH_C)) if len(y) else 2.0
    axes.set_ylim(-reach, reach)
    style.degree_scale(axes, signed=True)
    band = float(rows["band"].median())
    if not math.isnan(band):
        axes.axhspan(-band, band, color=style.STRIPE, linewidth=0.0, zorder=0)
    axes.axhline(0.0, color=style.FAINT, linewidth=0.6, zorder=1)
    axes.axvline(date.toordinal() - 0.5, color=style.INK, linewidth=1.0, linestyle=(0, (4, 3)), zorder=2)
    axes.annotate(
        phrases.day(date), (date.toordinal() - 0.5, 1.0), xycoords=("data", "axes fraction"),
        xytext=(4, -2), textcoords="offset points", va="top", fontsize=8.5,
    )  # fmt: skip
    x = np.array([day.toordinal() for day in rows["date"]], dtype=np.float64)
    x += rows.groupby("date").cumcount().to_numpy(np.float64) * 0.4
    lanes.dots(axes, x, y.to_numpy(np.float64), reach, shown)


def _leans(axes: Axes, segments: pd.DataFrame, change: Change) -> None:
    mine = segments[segments["team"] == change.team]
    columns = ["from", "to", "bias", "bias_low", "bias_high"]
    for start, end, bias, low, high in mine[columns].itertuples(index=False, name=None):
        if math.isfinite(bias):
            _bar(axes, start, end, bias, low, high)


def _bar(axes: Axes, start: dt.date, end: dt.date, value: float, low: float, high: float) -> None:
    a, b = start.toordinal(), end.toordinal() + 0.5
    axes.hlines(value, a, b, color=style.PAPER, linewidth=4.4, zorder=5)
    axes.hlines(value, a, b, color=style.INK, linewidth=2.4, zorder=6)
    if math.isfinite(low):
        axes.vlines((a + b) / 2.0, low, high, color=style.INK, linewidth=1.2, zorder=6)
    axes.annotate(
        phrases.number(value, signed=True), (b, value), xytext=(4, 0), textcoords="offset points",
        va="center", fontsize=8.5, bbox={"facecolor": style.PAPER, "edgecolor": "none", "pad": 0.6}, zorder=7,
    )  # fmt: skip
