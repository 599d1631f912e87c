"""Errors by team over the weeks against what the thermometers promise."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable

import numpy as np
import numpy.typing as npt
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from station.assess import Assessment
from station.views import phrases, wording
from station.views.plots import style

Floats = npt.NDArray[np.float64]

LANES = 7  # side by side; more teams start another row
LANE = 0.84  # share of a lane that its marks use
ROW_IN = 2.7
BETWEEN_IN = 0.55
#: The scale never reaches further than this [degC]; slips beyond are marked at its edge.
FURTHEST_C = 4.0


@style.drawn
def errors_by_team(assessment: Assessment) -> Figure:
    """Draw each reading's error, its thermometer's offset taken out, in one lane a team, oldest on the left.

    Hollow marks: the thermometer's offset is not known. A cross: set aside as a slip in the fit. A
    triangle at the edge: beyond the scale. The bar is the team's lean with its 95 % limits, one a segment.
    Where teams and thermometers can't be told apart, or nothing has a reference, the picture says so.
    """
    readings = assessment.readings
    if not readings["error"].notna().any():
        return style.instead(wording.TEAMS_NO_REFERENCE)
    if not assessment.separable:
        return style.instead(wording.TEAMS_NOT_SEPARABLE)
    known = readings[readings["error"].notna()]
    teams = list(assessment.teams["team"])
    shown = known["error_without_offset"].fillna(known["error"])
    band = float(known["band"].median())
    middle = shown[~known["slip"].astype(bool)]
    half = [float(q) for q in middle.quantile([0.25, 0.75])]
    low, high = (float(q) for q in middle.quantile([0.05, 0.95]))
    sentence = wording.TEAMS_SENTENCE.format(
        n=len(middle),
        half=phrases.between(half[0], half[1]),
        most=phrases.between(low, high),
        band=phrases.degrees(band),
    )
    lanes = math.ceil(len(teams) / math.ceil(len(teams) / LANES))
    rows = [teams[i : i + lanes] for i in range(0, len(teams), lanes)]
    room = len(rows) * ROW_IN + (len(rows) - 1) * BETWEEN_IN
    figure, (x, bottom, width, height) = style.page(sentence, room, wording.TEAMS_NOTES)
    reach = min(FURTHEST_C, max(math.ceil(2.0 * max(-low, high, band) + 1.0) / 2.0, 2.0))
    probe_u = float(known["expanded"].median())
    when = _place_in_time(known["date"])
    for i, row in enumerate(rows):
        step = height * (ROW_IN + BETWEEN_IN) / room
        axes = figure.add_axes((x, bottom + (len(rows) - 1 - i) * step, width, height * ROW_IN / room))
        axes.set_xlim(-0.75, lanes - 0.5)
        axes.set_ylim(-reach, reach)
        style.degree_scale(axes, signed=True)
        style.lane_names(axes, row)
        axes.hlines(0.0, -0.75, len(row) - 0.5, color=style.FAINT, linewidth=0.6, zorder=1)
        _probe_stripe(axes, probe_u)
        for lane, team in enumerate(row):
            style.stripe(axes, lane, LANE + 0.08, -band, band)
            mine = known["team"] == team
            _marks(axes, lane + LANE * when[mine.to_numpy()], shown[mine], known[mine], reach)
            pieces = assessment.segments[assessment.segments["team"] == team]
            _leans(axes, lane, pieces, assessment.common.value, known["date"])
    return figure


def _place_in_time(dates: Iterable[dt.date]) -> Floats:
    """Return where each date lies in its lane, from -0.5 (first) to 0.5 (last)."""
    days = np.array([date.toordinal() for date in dates], dtype=np.float64)
    span = days.max() - days.min()
    return (days - days.min()) / span - 0.5 if span else np.zeros(days.size)


def _probe_stripe(axes: Axes, expanded: float) -> None:
    """Hatch what the probe itself may be off by, beside the scale."""
    axes.add_patch(
        Rectangle(
            (-0.71, -expanded), 0.13, 2 * expanded,
            facecolor="none", edgecolor=style.PROBE, hatch=style.HATCH, linewidth=0.0,
        )
    )  # fmt: skip


def _marks(axes: Axes, x: Floats, y: pd.Series, rows: pd.DataFrame, reach: float) -> None:
    value = y.to_numpy(np.float64)
    beyond = np.abs(value) > reach
    slip = rows["slip"].to_numpy(bool) & ~beyond
    hollow = rows["offset"].isna().to_numpy() & ~beyond & ~slip
    plain = ~(beyond | slip | hollow)
    axes.scatter(x[plain], value[plain], s=7, color=style.SOFT, linewidth=0, zorder=3)
    axes.scatter(
        x[hollow], value[hollow], s=9, facecolor=style.PAPER, edgecolor=style.SOFT, linewidth=0.7, zorder=3
    )
    axes.scatter(x[slip], value[slip], s=12, marker="x", color=style.FAINT, linewidth=0.8, zorder=3)
    for marker, side in (("^", value > 0), ("v", value < 0)):
        edge = beyond & side
        axes.scatter(
            x[edge], np.sign(value[edge]) * reach * 0.97, s=14, marker=marker,
            facecolor=style.PAPER, edgecolor=style.FAINT, linewidth=0.8, zorder=3,
        )  # fmt: skip


def _leans(axes: Axes, lane: float, pieces: pd.DataFrame, common: float, dates: pd.Series) -> None:
    """Draw each segment's lean, on the zero of the marks, as a bar with its limits as a thin line."""
    first, last = min(dates).toordinal(), max(dates).toordinal()
    span = max(last - first, 1)
    columns = ["from", "to", "bias", "bias_low", "bias_high"]
    for start, end, bias, low, high in pieces[columns].itertuples(index=False):
        if math.isnan(bias):
            continue
        a = lane + LANE * ((max(start.toordinal(), first) - first) / span - 0.5) - 0.03
        b = lane + LANE * ((min(end.toordinal(), last) - first) / span - 0.5) + 0.03
        axes.hlines(bias + common, a, b, color=style.PAPER, linewidth=3.4, zorder=4)
        axes.hlines(bias + common, a, b, color=style.INK, linewidth=1.8, zorder=5)
        axes.vlines((a + b) / 2, low + common, high + common, color=style.INK, linewidth=1.0, zorder=5)
