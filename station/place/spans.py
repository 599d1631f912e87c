"""Spans: from when to when the sun reached the probe on a day, how surely, and how warm it made it."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from station.place.background import box
from station.place.days import school_hours, to_datetime
from station.place.exposure import Exposure
from station.place.gaps import BRIEF
from station.place.windows import runs
from station.record.model import School, Site

Array = NDArray[np.float64]

#: A span is shown from this probability; holes and stretches shorter than this are left out [min].
SHOWN, HOLE_MIN, SHORTEST_MIN = 0.5, 3.0, 2.0
#: Warmth where no opening lies within a few minutes is not the sun's: the chance of an open sky it needs.
OPEN_NEAR = 0.5
#: The record shows the sun this much after it comes and goes [min] (tuned).
LAG_MIN = 1.0
#: The air under a span is drawn between the shaded minutes this far before and after it [min].
BEFORE_MIN, AFTER_MIN = (3.0, 25.0), (6.0, 30.0)
#: A longer span has no shaded minutes near enough; the chain's own level is taken [min].
LONGEST_MIN = 240.0


def sun_spans(found: Exposure) -> list[tuple[int, int, int, float, float]]:
    """Return (row, first column, end column, probability, excess in degC) of every span."""
    step = found.days.step
    y = found.days.celsius[:, found.first : found.first + found.lit.shape[1]]
    recorded = box(np.isfinite(y).astype(float), round(10 / step)) > 0
    # What was lit too briefly to be counted on was lit on this day.
    within = (found.open > OPEN_NEAR) & (found.gaps <= BRIEF)
    open_ = box(within.astype(float), round(6 / step)) > 0
    shown = (found.lit > SHOWN) & recorded & open_
    spans = []
    for row in range(len(shown)):
        for a, b in runs(shown[row], round(HOLE_MIN / step), max(round(SHORTEST_MIN / step), 1)):
            excess = _excess(found, y[row], row, a, b)
            spans.append((row, a, b, float(found.lit[row, a:b].mean()), excess))
    return spans


def _excess(found: Exposure, y: Array, row: int, a: int, b: int) -> float:
    """Return how much warmer the probe was than the air beside the span, degC."""
    step = found.days.step
    trim = 1 if (b - a) * step > 8 else 0
    inside = np.arange(a + trim, b)
    level = float(np.nanmean(found.level[row, a:b]))
    if np.isfinite(found.warmth[row, a:b]).any():
        level = max(level, float(np.nanmean(found.warmth[row, a:b])))
    shaded = found.lit[row] < 0.2
    sides = []
    for low, high in ((a - BEFORE_MIN[1] / step, a - BEFORE_MIN[0] / step + 1),
                      (b + AFTER_MIN[0] / step, b + AFTER_MIN[1] / step + 1)):  # fmt: skip
        cells = np.arange(max(round(low), 0), min(round(high), len(y)))
        cells = cells[shaded[cells] & np.isfinite(y[cells])]
        if len(cells) * step >= 4:
            # The shaded minutes nearest to the span tell most about the air in it.
            weight = np.exp(-np.abs(cells - (a if low < a else b)) * step / 12)
            sides.append(
                (float(np.average(cells, weights=weight)), float(np.average(y[cells], weights=weight)))
            )
    if not sides or (b - a) * step > LONGEST_MIN or not np.isfinite(y[inside]).any():
        return level
    if len(sides) == 1 and (b - a) * step > 60:
        return level
    air = np.interp(inside, [s[0] for s in sides], [s[1] for s in sides])
    return float(np.nanmean(y[inside] - air))


def day_table(found: Exposure, site: Site, school: School) -> pd.DataFrame:
    """Return one row a day: ``date, clear, logged, school`` (share of school hours recorded, school day)."""
    hours = school_hours(found.days, site, school)
    recorded = np.isfinite(found.days.celsius)
    lit, weight = found.lit, (found.open * (1 - found.gaps)) ** 2 * np.isfinite(found.evidence)
    worth = 60 / found.days.step
    clear = (worth * found.sky + (weight * lit).sum(axis=1)) / (
        worth + (weight * np.maximum(lit, 0.5)).sum(axis=1)
    )
    count = hours.sum(axis=1)
    logged = np.where(count > 0, (recorded & hours).sum(axis=1) / np.maximum(count, 1), recorded.mean(axis=1))
    return pd.DataFrame({
        "date": pd.Series(found.days.dates(site), dtype="object"),
        "clear": np.clip(clear, 0, 1), "logged": logged, "school": count > 0,
    })  # fmt: skip


def span_table(found: Exposure, site: Site) -> pd.DataFrame:
    """Return one row a span: ``date, start, end`` (UTC), ``probability, excess_c, clear``."""
    dates = found.days.dates(site)
    rows = []
    for row, a, b, probability, excess in sun_spans(found):
        start = to_datetime(found.days.start[row] + np.timedelta64((found.first + a) * found.days.step, "m"))
        start -= dt.timedelta(minutes=LAG_MIN)
        length = dt.timedelta(minutes=(b - a) * found.days.step)
        rows.append((dates[row], start, start + length, probability, excess))
    return pd.DataFrame(rows, columns=["date", "start", "end", "probability", "excess_c"])
