"""The probe's whole record, its troubles, and where the sessions lie in it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from zoneinfo import ZoneInfo

import numpy as np
import numpy.typing as npt
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from matplotlib.ticker import FixedFormatter, FixedLocator

from station.assess import Assessment
from station.record.model import Fault
from station.reference.faults import LEAVES_NONE
from station.reference.value import LONGEST_GAP_S
from station.views import phrases, wording
from station.views.plots import style
from station.views.plots.decimate import columns

Floats = npt.NDArray[np.float64]

ROOM_IN = 3.4
COLUMNS = 1400  # about two strokes a dot of a printed page
#: Marks of unused values over the whole width, so that each can be seen.
MARKS = 150
#: Troubles named beside their span, those that leave no reference and the longest first; the rest are
#: hatched without a word.
NAMED = 6
#: Most dates under the picture.
DATES = 9


@style.drawn
def probe_record(assessment: Assessment) -> Figure:
    """Draw the usable samples over local time, the troubles that leave no reference, and the sessions.

    Each session is a tick under the curve: filled where it has a reference, hollow where it has none.
    Values that were not used are marked at the edge. Records of any length are drawn by least and greatest
    value a column.
    """
    samples = assessment.samples
    if samples.empty:
        return style.instead(wording.PROBE_NONE)
    zone = assessment.settings.site.zone
    usable = np.asarray(assessment.probe.usable, dtype=bool)
    seconds = samples["time"].to_numpy("datetime64[us]").astype(np.int64) / 1e6
    celsius = samples["celsius"].to_numpy(np.float64)
    sessions = assessment.sessions
    figure, place = style.page(_sentence(assessment, usable), ROOM_IN, wording.PROBE_NOTES)
    axes = figure.add_axes(place)
    first, last = seconds[0], seconds[-1]
    if not sessions.empty:
        first = min(first, sessions["start"].iloc[0].timestamp())
        last = max(last, sessions["end"].iloc[-1].timestamp())
    axes.set_xlim(first, last + 1.0)
    low, high = _curve(axes, seconds[usable], celsius[usable])
    axes.set_ylim(low, high)
    style.degree_scale(axes, signed=False)
    _unused(axes, seconds[~usable], celsius[~usable], low, high)
    _troubles(axes, assessment.probe.faults, zone, first, last, low, high)
    _sessions(axes, sessions, low, high)
    _dates(axes, first, last, zone)
    return figure


def _sentence(assessment: Assessment, usable: npt.NDArray[np.bool_]) -> str:
    samples, sessions = assessment.samples, assessment.sessions
    zone = assessment.settings.site.zone
    ends = [samples["time"].iloc[i].tz_convert(zone).date() for i in (0, -1)]
    text = wording.PROBE_SENTENCE.format(
        name=assessment.settings.probe().name, days=phrases.days(ends[0], ends[1])
    )
    if not usable.any():
        return f"{text} {wording.PROBE_NOTHING_USABLE}"
    values = samples["celsius"].to_numpy(np.float64)[usable]
    text += " " + wording.PROBE_RANGE.format(
        low=phrases.degrees(float(values.min())), high=phrases.degrees(float(values.max()))
    )
    if len(sessions):
        without = int(sessions["reference"].isna().sum())
        text += " " + (
            wording.PROBE_SESSIONS_WITHOUT.format(n=without, all=len(sessions))
            if without
            else wording.PROBE_SESSIONS_ALL
        )
    return text


def _curve(axes: Axes, seconds: Floats, celsius: Floats) -> tuple[float, float]:
    """Draw the samples; return the ends of a scale that holds them with room for words and sessions.

    A short record is a line, broken where values are missing; a long one an upright stroke a column.
    """
    if seconds.size == 0:
        return 0.0, 20.0
    if seconds.size <= 2 * COLUMNS:
        pause = np.diff(seconds, prepend=seconds[0])
        broken = np.where(pause > max(LONGEST_GAP_S, 3.0 * float(np.median(pause))), np.nan, celsius)
        axes.plot(seconds, broken, color=style.INK, linewidth=0.9, zorder=3)
        low, high = float(celsius.min()), float(celsius.max())
    else:
        found = columns(seconds, celsius, COLUMNS)
        least = 0.06  # a still minute is a dot, not nothing [degC]
        axes.vlines(
            found.middle, found.low - least, found.high + least, color=style.INK, linewidth=0.7, zorder=3
        )
        low, high = float(found.low.min()), float(found.high.max())
    room = max(high - low, 4.0)
    return low - 0.22 * room, high + 0.2 * room


def _unused(axes: Axes, seconds: Floats, celsius: Floats, low: float, high: float) -> None:
    """Mark values that were not used: crosses in place, triangles at the edge where they lie beyond."""
    begin, end = axes.get_xlim()
    for marker, chosen, y in (
        ("x", (celsius > low) & (celsius < high), None),
        ("^", celsius >= high, high - 0.02 * (high - low)),
        ("v", celsius <= low, low + 0.02 * (high - low)),
    ):
        t, v = seconds[chosen], celsius[chosen]
        if t.size == 0:
            continue
        found = columns(t, v, max(round(MARKS * (t[-1] - t[0]) / (end - begin)), 1))
        axes.scatter(
            found.middle, found.high if y is None else np.full(found.middle.size, y), s=9, marker=marker,
            color=style.ACCENT, linewidth=0.8, zorder=4,
        )  # fmt: skip


def _troubles(
    axes: Axes, faults: Sequence[Fault], zone: ZoneInfo, first: float, last: float, low: float, high: float
) -> None:
    """Hatch each trouble over its span and name the longest in words, on two lines where they crowd."""
    least = (last - first) / 250.0  # wide enough to be seen
    ranked = sorted(faults, key=lambda f: (f.kind not in LEAVES_NONE, f.start - f.end))
    named = sorted(ranked[:NAMED], key=lambda f: f.start)
    for fault in faults:
        a, b = _seen(fault, least)
        axes.add_patch(
            Rectangle(
                (a, low), b - a, high - low, facecolor=style.STRIPE, edgecolor=style.FAINT,
                hatch="....", linewidth=0.0, alpha=0.9, zorder=1,
            )
        )  # fmt: skip
    free = [first, first, first]  # where each line of words is free again
    for fault in named:
        a, b = _seen(fault, least)
        words = wording.FAULT_LABEL.format(
            kind=wording.SHORT.get(fault.kind, phrases.kind(fault.kind)),
            day=phrases.day(fault.start.astimezone(zone).date()),
        )
        wide = (last - first) * 0.0092 * len(words)
        start = min(max((a + b) / 2 - wide / 2, first), last - wide)
        line = next((i for i, until in enumerate(free) if until <= start), None)
        if line is None:
            continue
        free[line] = start + wide
        axes.text(
            start + wide / 2, high - (0.045 + 0.06 * line) * (high - low), words, ha="center", va="center",
            fontsize=8.0, zorder=6, bbox={"facecolor": style.PAPER, "edgecolor": "none", "pad": 1.2},
        )  # fmt: skip


def _seen(fault: Fault, least: float) -> tuple[float, float]:
    a, b = fault.start.timestamp(), fault.end.timestamp()
    return (a, b) if b - a >= least else ((a + b - least) / 2, (a + b + least) / 2)


def _sessions(axes: Axes, sessions: pd.DataFrame, low: float, high: float) -> None:
    """Mark each session under the curve, one row a part of the day."""
    held = sessions["reference"].notna().to_numpy()
    row, _ = pd.factorize(sessions["session"])
    begin = sessions["start"].map(lambda t: t.timestamp()).to_numpy(np.float64)
    end = sessions["end"].map(lambda t: t.timestamp()).to_numpy(np.float64)
    y = low + (0.085 - 0.03 * row) * (high - low)
    for chosen, face in ((held, style.PROBE), (~held, style.PAPER)):
        axes.scatter(
            (begin + end)[chosen] / 2.0, y[chosen], s=13, marker="s", facecolor=face,
            edgecolor=style.PROBE, linewidth=0.8, zorder=5,
        )  # fmt: skip


def _dates(axes: Axes, first: float, last: float, zone: ZoneInfo) -> None:
    """Write local dates at local midnight, hours where the record is a day or two."""
    begin = dt.datetime.fromtimestamp(first, zone)
    end = dt.datetime.fromtimestamp(last, zone)
    ticks: list[float] = []
    labels: list[str] = []
    days = (end.date() - begin.date()).days
    if days <= 2:
        step_h = 3 if days < 1 else 6
        for hour in range(0, 24 * (days + 1), step_h):
            date = begin.date() + dt.timedelta(days=hour // 24)
            ticks.append(dt.datetime.combine(date, dt.time(hour % 24), tzinfo=zone).timestamp())
            labels.append(f"{hour % 24:02d}:00" if hour % 24 else phrases.day(date))
    else:
        step = next(s for s in (1, 2, 7, 14, 28, 91, 182, 364, 3640) if days / s <= DATES or s == 3640)
        start = begin.date() + dt.timedelta(days=1)
        if step >= 7:
            start += dt.timedelta(days=-start.weekday() % 7)
        for i in range(0, (end.date() - start).days + 1, step):
            date = start + dt.timedelta(days=i)
            ticks.append(dt.datetime.combine(date, dt.time(), tzinfo=zone).timestamp())
            labels.append(phrases.day(date, weekday=step < 7))
    inside = [(t, w) for t, w in zip(ticks, labels, strict=True) if first <= t <= last]
    axes.xaxis.set_major_locator(FixedLocator([t for t, _ in inside]))
    axes.xaxis.set_major_formatter(FixedFormatter([w for _, w in inside]))
