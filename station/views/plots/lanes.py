"""What several pictures share: a panel of dots over the days, dots beyond the scale, leans by reading."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from station.assess import Assessment
from station.views import advice, phrases
from station.views.plots import style

Floats = npt.NDArray[np.float64]

BETWEEN_IN = 0.62
#: Room above a row of panels for their names [in].
NAME_IN = 0.34


def lean_of(assessment: Assessment) -> pd.Series:
    """Return each reading's own lean [degC], that of its team's segment; NaN where it isn't known."""
    rows = assessment.readings
    out = pd.Series(math.nan, index=rows.index, dtype=np.float64)
    columns = ["team", "from", "to", "bias"]
    for team, start, end, bias in assessment.segments[columns].itertuples(index=False, name=None):
        out[(rows["team"] == team) & (rows["date"] >= start) & (rows["date"] <= end)] = bias
    return out


def in_doubt(assessment: Assessment) -> pd.Series:
    """Tell which readings belong to a session whose reference or cards are in doubt as a whole."""
    sessions = assessment.sessions
    doubted = {
        (date, part)
        for date, part, notes in sessions[["date", "session", "notes"]].itertuples(index=False, name=None)
        if {*notes} & advice.DOUBTS
    }
    rows = assessment.readings
    keys = rows[["date", "session"]].itertuples(index=False, name=None)
    return pd.Series([key in doubted for key in keys], index=rows.index, dtype=bool)


def panels(
    figure: Figure, place: tuple[float, float, float, float], names: Sequence[str], across: int, row_in: float
) -> list[Axes]:
    """Put one named panel for each name into the room of a page, ``across`` side by side."""
    x, bottom, width, height = place
    rows = math.ceil(len(names) / across)
    room = rows * (row_in + NAME_IN) + (rows - 1) * BETWEEN_IN
    gap = 0.06
    wide = (width - gap * (across - 1)) / across
    out = []
    for i, name in enumerate(names):
        row, column = divmod(i, across)
        top = room - row * (row_in + NAME_IN + BETWEEN_IN) - NAME_IN
        axes = figure.add_axes(
            (x + column * (wide + gap), bottom + height * (top - row_in) / room, wide, height * row_in / room)
        )
        axes.annotate(
            name, (0.0, 1.0), xycoords="axes fraction", xytext=(8, 9), textcoords="offset points",
            va="bottom", fontsize=9.5,
        )  # fmt: skip
        out.append(axes)
    return out


def room_for(count: int, across: int, row_in: float) -> float:
    """Return the height [in] that ``panels`` needs."""
    rows = math.ceil(count / across)
    return rows * (row_in + NAME_IN) + (rows - 1) * BETWEEN_IN


def dots(axes: Axes, x: Floats, y: Floats, reach: float, shown: npt.NDArray[np.bool_] | None = None) -> None:
    """Draw dots, those ``shown`` as accent diamonds, and triangles at the edge for those beyond ``reach``."""
    shown = np.zeros(x.size, dtype=bool) if shown is None else shown
    near = np.abs(y) <= reach
    plain, far = near & ~shown, near & shown
    axes.scatter(x[plain], y[plain], s=11, color=style.SOFT, linewidth=0, zorder=3)
    axes.scatter(x[far], y[far], s=26, marker="D", color=style.ACCENT, linewidth=0, zorder=4)
    for marker, side in (("^", y > reach), ("v", y < -reach)):
        colours = [style.ACCENT if one else style.FAINT for one in shown[side]]
        axes.scatter(
            x[side], np.sign(y[side]) * reach * 0.96, s=24, marker=marker, facecolor=style.PAPER,
            edgecolor=colours, linewidth=1.1, zorder=4,
        )  # fmt: skip


def days(axes: Axes, dates: Sequence[dt.date]) -> None:
    """Write the first and the last day, and Mondays between where they fit, under a panel of ordinals."""
    first, last = min(dates).toordinal(), max(dates).toordinal()
    mondays = [d for d in range(first, last + 1) if dt.date.fromordinal(d).weekday() == 0]
    step = max(1, math.ceil(len(mondays) / 4))
    ticks = mondays[::step] or [first]
    axes.set_xticks(ticks, [phrases.day(dt.date.fromordinal(d)) for d in ticks])
    axes.set_xlim(first - 1.0, last + 1.0)
    axes.spines["bottom"].set_visible(False)
    axes.tick_params(axis="x", length=2)
