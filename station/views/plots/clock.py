"""The clock: the class's middle against the record as it is stamped and as it would be shifted."""

from __future__ import annotations

import datetime as dt
import math

import numpy as np
import numpy.typing as npt
import pandas as pd
from matplotlib.figure import Figure

from station.assess import Assessment
from station.findings.clock import Shift
from station.reference.correction import corrected_c
from station.reference.value import ProbeSeries
from station.views import phrases
from station.views import wording_findings as words
from station.views.plots import style

Floats = npt.NDArray[np.float64]

ROOM_IN = 3.0
#: School days shown before and after the span in question.
AROUND = dt.timedelta(days=6)
REACH_C = 6.0


@style.drawn
def clock_shifts(assessment: Assessment) -> Figure:
    """Draw for each session how far the class's middle lies from the record [degC], as stamped and shifted.

    Hollow: the record as it is stamped; full: the record read as the first suspected shift would have it. The
    stripe is the span in question.
    """
    if not assessment.findings.clock:
        return style.instead(words.CLOCK_NONE)
    shift = assessment.findings.clock[0]
    rows = assessment.sessions
    near = (rows["date"] >= shift.first - AROUND) & (rows["date"] <= shift.last + AROUND)
    rows = rows[near & (rows["readings"] > 0)].reset_index(drop=True)
    inside = ((rows["date"] >= shift.first) & (rows["date"] <= shift.last)).to_numpy()
    middle = _middles(assessment, rows)
    now, then = (middle - _record(assessment, rows, minutes) for minutes in (0.0, -shift.shift_minutes))
    figure, place = style.page(_sentence(shift, now[inside], then[inside]), ROOM_IN, words.CLOCK_NOTES)
    axes = figure.add_axes(place)
    x = np.arange(len(rows), dtype=np.float64)
    both = np.concatenate((now, then))
    reach = float(np.clip(np.nanmax(np.abs(both), initial=0.0) * 1.15, 2.0, REACH_C))
    now, then = (np.clip(values, -0.97 * reach, 0.97 * reach) for values in (now, then))
    for values, full in ((now, False), (then, True)):
        axes.scatter(
            x, values, s=32, marker="D" if full else "o", zorder=4 if full else 3, linewidth=1.1,
            facecolor=style.ACCENT if full else style.PAPER, edgecolor=style.ACCENT if full else style.INK,
        )  # fmt: skip
    axes.vlines(x, now, then, color=style.FAINT, linewidth=0.7, zorder=2)
    if inside.any():
        axes.axvspan(
            x[inside].min() - 0.5, x[inside].max() + 0.5, color=style.STRIPE, linewidth=0.0, zorder=0
        )
    axes.axhline(0.0, color=style.FAINT, linewidth=0.6, zorder=1)
    axes.set_ylim(-reach, reach)
    axes.set_xlim(-0.8, len(rows) - 0.2)
    style.degree_scale(axes, signed=True)
    firsts = [i for i in range(len(rows)) if i == 0 or rows["date"][i] != rows["date"][i - 1]]
    axes.set_xticks(firsts, [phrases.day(rows["date"][i]) for i in firsts], rotation=35, ha="right")
    axes.spines["bottom"].set_visible(False)
    axes.tick_params(axis="x", length=2)
    return figure


def _middles(assessment: Assessment, rows: pd.DataFrame) -> Floats:
    """Return the middle of each session's cards, thermometers' offsets and common part out [degC]."""
    readings = assessment.readings
    value = readings["indication"] - readings["offset"].fillna(0.0) - _common(assessment)
    by_session = value.groupby([readings["date"], readings["session"]]).median()
    keys = zip(rows["date"], rows["session"], strict=True)
    return np.array([by_session.get(key, math.nan) for key in keys], dtype=np.float64)


def _common(assessment: Assessment) -> float:
    return 0.0 if math.isnan(assessment.common.value) else assessment.common.value


def _record(assessment: Assessment, rows: pd.DataFrame, minutes: float) -> Floats:
    usable = assessment.samples[assessment.probe.usable]
    probe = assessment.settings.probe()
    series = ProbeSeries.of(usable, corrected_c(usable, probe), probe)
    later = dt.timedelta(minutes=minutes)
    out = []
    for start, end in rows[["start", "end"]].itertuples(index=False, name=None):
        found = series.reference(start + later, (end - start).total_seconds() / 60.0)
        out.append(math.nan if found is None else found.value_c)
    return np.array(out, dtype=np.float64)


def _sentence(shift: Shift, now: Floats, then: Floats) -> str:
    typical = [
        phrases.degrees(float(np.nanmedian(np.abs(part)))) if np.isfinite(part).any() else "–"
        for part in (now, then)
    ]
    return words.CLOCK_SENTENCE.format(
        first=phrases.day(shift.first), last=phrases.day(shift.last), now=typical[0], then=typical[1],
        minutes=phrases.number(shift.shift_minutes, 0, signed=True),
    )  # fmt: skip
