"""The box of thermometers: how much each reads high, and whether its two scales agree."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from station.assess import Assessment
from station.views import advice, phrases, wording
from station.views.plots import style

ROOM_IN = 3.3
STRIPE_WIDE = 0.62


@style.drawn
def thermometer_offsets(assessment: Assessment) -> Figure:
    """Draw each thermometer's offset [degC] with its 95 % limits against its promise, one lane a number.

    Numbers whose limits lie wholly beyond the promise carry their offset in words.
    """
    table = assessment.thermometers
    known = table[table["offset"].notna()]
    if known.empty:
        return style.instead(wording.BOX_UNKNOWN)
    beyond = known[advice.beyond_promise(known)]
    names = [
        wording.BOX_ONE.format(number=n, offset=phrases.degrees(o, signed=True))
        for n, o in beyond[["number", "offset"]].itertuples(index=False)
    ]
    n = phrases.counted(len(known), wording.THERMOMETER, wording.THERMOMETERS)
    sentence = (
        wording.BOX_SENTENCE_BEYOND.format(n=n, which=phrases.listed(names, 6))
        if names
        else wording.BOX_SENTENCE_WITHIN.format(n=n)
    )
    figure, place = style.page(sentence, ROOM_IN, wording.BOX_NOTES)
    axes = figure.add_axes(place)
    reach = max(float(known[["offset_low", "offset_high", "band"]].abs().max().max()) + 0.3, 1.5)
    _lanes(axes, known["number"], reach)
    columns = ["number", "offset", "offset_low", "offset_high", "band"]
    for lane, (number, offset, low, high, band) in enumerate(known[columns].itertuples(index=False)):
        far = number in set(beyond["number"])
        colour = style.ACCENT if far else style.INK
        if not math.isnan(band):
            style.stripe(axes, lane, STRIPE_WIDE, -band, band)
        axes.vlines(lane, low, high, color=colour, linewidth=1.4, zorder=3)
        axes.scatter(lane, offset, s=40, marker="D" if far else "o", color=colour, linewidth=0, zorder=4)
        if far:
            _label(axes, lane, offset)
    return figure


@style.drawn
def two_scales(assessment: Assessment) -> Figure:
    """Draw C - (F - 32)/1.8 [degC] of every reading with both scales, one lane a number, and its median.

    The stripe is what the marks explain for one reading; numbers whose plates are taken as slipped apart
    carry their median in words. No probe is needed.
    """
    rows = assessment.readings
    rows = rows[rows["two_scale_difference"].notna() & (rows["thermometer"] != "")]
    if rows.empty:
        return style.instead(wording.SCALES_NONE)
    table = assessment.thermometers.set_index("number")
    numbers = [n for n in table.index if n in set(rows["thermometer"])]
    slipped = [n for n in numbers if table["slipped"][n]]
    names = [
        wording.BOX_ONE.format(number=n, offset=phrases.degrees(table["scale_difference"][n], signed=True))
        for n in slipped
    ]
    sentence = (
        wording.SCALES_SENTENCE_SLIPPED.format(which=phrases.listed(names, 6))
        if names
        else wording.SCALES_SENTENCE_AGREE.format(n=len(rows))
    )
    figure, place = style.page(sentence, ROOM_IN, wording.SCALES_NOTES)
    axes = figure.add_axes(place)
    limit = rows["two_scale_limit"]
    reach = float(max(limit.max() + 1.0, table.loc[numbers, "scale_difference"].abs().max() + 0.8))
    _lanes(axes, pd.Series(numbers), reach)
    for lane, number in enumerate(numbers):
        mine = rows[rows["thermometer"] == number]
        high = float(mine["two_scale_limit"].max())
        style.stripe(axes, lane, STRIPE_WIDE, -high, high)
        _scatter(axes, lane, mine["two_scale_difference"].to_numpy(np.float64), reach)
        far = number in slipped
        colour = style.ACCENT if far else style.INK
        middle = float(table["scale_difference"][number])
        axes.hlines(middle, lane - 0.31, lane + 0.31, color=colour, linewidth=2.0, zorder=4)
        if far:
            _label(axes, lane + 0.24, middle)
    return figure


def _lanes(axes: Axes, numbers: pd.Series, reach: float) -> None:
    axes.set_xlim(-0.6, max(len(numbers), 8) - 0.2)
    axes.set_ylim(-reach, reach)
    style.degree_scale(axes, signed=True)
    style.lane_names(axes, list(numbers))
    axes.hlines(0.0, -0.6, len(numbers) - 0.4, color=style.FAINT, linewidth=0.6, zorder=1)


def _label(axes: Axes, lane: float, value: float) -> None:
    axes.annotate(
        phrases.number(value, signed=True), (lane, value), xytext=(6, 0), textcoords="offset points",
        va="center", fontsize=8.5,
    )  # fmt: skip


def _scatter(axes: Axes, lane: int, values: np.ndarray, reach: float) -> None:
    """Put dots beside each other in the order of the file, triangles at the edge for those beyond."""
    x = lane + np.linspace(-0.24, 0.24, values.size) if values.size > 1 else np.array([float(lane)])
    near = np.abs(values) <= reach
    axes.scatter(x[near], values[near], s=6, color=style.SOFT, linewidth=0, zorder=2)
    for marker, side in (("^", values > 0), ("v", values < 0)):
        edge = ~near & side
        axes.scatter(
            x[edge], np.sign(values[edge]) * reach * 0.97, s=14, marker=marker,
            facecolor=style.PAPER, edgecolor=style.FAINT, linewidth=0.8, zorder=2,
        )  # fmt: skip
