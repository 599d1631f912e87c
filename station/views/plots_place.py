"""The pictures of a place: recorded days by the clock, map of the sky, sun calendar, one day's record."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from pathlib import Path

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from matplotlib.ticker import FuncFormatter, MultipleLocator
from numpy.typing import NDArray

from station.place.survey import Survey
from station.settings import Settings
from station.views import phrases
from station.views import wording_place as words
from station.views.plots import style

Array = NDArray[np.float64]

CLOCK_ROOM = 20  # minutes left and right of what is drawn
STRAIGHT_MIN = 180  # a day's air bends: a straight line is said of no longer sun (common sense)
APART_DEG = 2.0  # paths nearer than this at noon share one date


@style.drawn
def days_by_clock(survey: Survey, settings: Settings) -> Figure:
    """Draw each recorded day as a row of local clock time: spans of sun, where it can reach, sessions."""
    dates = survey.recorded
    if survey.exposure is None or not dates:
        return style.instead(words.NOTHING_RECORDED)
    zone = settings.site.zone
    first, last = min(dates), max(dates)
    span_days = (last - first).days + 1
    lit = survey.lit_days
    title = {
        "sunlit": words.DAYS_TITLE_LIT,
        "shaded": words.DAYS_TITLE_SHADED,
        "undecided": words.DAYS_TITLE_UNDECIDED if lit else words.DAYS_TITLE_NONE_YET,
    }[survey.verdict.answer].format(lit=lit, days=len(dates))
    figure, place = style.page(title, min(max(0.17 * span_days, 1.6), 6.5), words.DAYS_NOTES)
    axes = figure.add_axes(place)
    _clock_axis(axes, *_reach(survey, settings))
    for i in range(span_days):
        date = first + dt.timedelta(days=i)
        if date not in dates:
            axes.add_patch(Rectangle((0, i - 0.5), 1440, 1, facecolor=style.STRIPE, linewidth=0, zorder=0))
    for a, b, row in _open_stretches(survey, settings, first, last):
        axes.add_patch(Rectangle((a, row - 0.5), b - a, 1, facecolor="none", edgecolor=style.FAINT,
                                 hatch="....", linewidth=0, zorder=1))  # fmt: skip
    for date, start, end in survey.spans[["date", "start", "end"]].itertuples(index=False):
        a, b = _minute(start, zone), _minute(end, zone)
        axes.add_patch(
            Rectangle((a, (date - first).days - 0.36), b - a, 0.72, color=style.ACCENT, linewidth=0, zorder=3)
        )
    _sessions(axes, settings, -0.5, span_days - 0.5)
    axes.set_ylim(span_days - 0.5, -0.5)
    _date_axis(axes, first, span_days)
    _clock_change(axes, first, span_days, settings)
    return figure


@style.drawn
def sky_map(survey: Survey, settings: Settings) -> Figure:
    """Draw the sky seen from the probe: openings found, the sun's path on recorded and coming days."""
    calendar = survey.calendar
    dates = calendar.days.dates(settings.site)
    if survey.exposure is None and not survey.sketched:
        return style.instead(words.NOTHING_RECORDED)
    found = bool((survey.openings["probability"] >= 0.5).any()) if len(survey.openings) else survey.sketched
    if survey.exposure is not None and survey.verdict.answer == "undecided":
        title = words.MAP_TITLE_MAYBE if found else words.MAP_TITLE_NONE_YET
    else:
        title = words.MAP_TITLE if found else words.MAP_TITLE_NONE
    figure, place = style.page(title, 3.6, words.MAP_NOTES)
    axes = figure.add_axes(place)
    azimuth, elevation = calendar.days.azimuth, calendar.days.elevation
    south = bool(abs(((np.median(azimuth[:, azimuth.shape[1] // 2]) + 180) % 360) - 180) > 90)
    shown = azimuth if south else (azimuth + 180) % 360 - 180
    recorded = 0 if survey.exposure is None else (survey.days["date"].max() - dates[0]).days
    mask = (calendar.open > 0.5) & (elevation > 0)
    for row in range(len(dates)):
        x, y = (np.where(mask[row], values[row], np.nan) for values in (shown, elevation))
        axes.plot(x, y, color=style.PALE, linewidth=2.6, solid_capstyle="butt", zorder=0.5)
    begin = (min(survey.recorded) - dates[0]).days if survey.recorded else 0
    named: list[float] = []
    chosen = sorted({begin, recorded, recorded + (len(dates) - 1 - recorded) // 2, len(dates) - 1})
    for row in chosen:
        up = elevation[row] > 0
        thick = row <= recorded and survey.exposure is not None
        axes.plot(shown[row][up], elevation[row][up], color=style.INK, linewidth=1.5 if thick else 0.7,
                  linestyle="-" if thick else (0, (5, 3)), zorder=3)  # fmt: skip
        top = int(np.argmax(elevation[row]))
        if any(abs(elevation[row][top] - other) < APART_DEG for other in named):
            continue
        named.append(float(elevation[row][top]))
        axes.annotate(phrases.day(dates[row]), (shown[row][top], elevation[row][top]), xytext=(0, 3.5),
                      textcoords="offset points", ha="center", fontsize=8.0, zorder=4,
                      bbox={"facecolor": style.PAPER, "edgecolor": "none", "pad": 0.6})  # fmt: skip
    _openings(axes, survey, south)
    high = float(elevation.max())
    axes.set_ylim(0, min(high + 8, 90))
    axes.set_xlim((40, 320) if south else (-140, 140))
    axes.set_xticks([45, 90, 135, 180, 225, 270, 315] if south else [-135, -90, -45, 0, 45, 90, 135])
    axes.xaxis.set_major_formatter(
        FuncFormatter(lambda x, _: f"{words.DIRECTIONS[round(x % 360 / 45) % 8]}\n{x % 360:.0f}°")
    )
    axes.yaxis.set_major_formatter(FuncFormatter(lambda y, _: f"{y:.0f}°"))
    axes.set_ylabel(words.ELEVATION_AXIS)
    return figure


@style.drawn
def sun_calendar(survey: Survey, settings: Settings) -> Figure:
    """Draw the coming days: where a clear sky puts the sun by the clock, with 80 % limits, and sessions."""
    ahead = survey.forecast
    if not len(ahead):
        return style.instead(words.NOTHING_RECORDED)
    zone = settings.site.zone
    first, last = ahead["date"].min(), ahead["date"].max()
    span_days = (last - first).days + 1
    lit = ahead[ahead["sunlit_probability"] >= 0.5]
    if len(lit):
        firsts = lit.drop_duplicates("session")[["date", "session"]].itertuples(index=False)
        sentence = words.CALENDAR_TITLE_LIT.format(sessions=phrases.listed([
            words.CALENDAR_SESSION.format(date=phrases.day(date), session=session) for date, session in firsts
        ]))  # fmt: skip
    else:
        untold = ahead["sunlit_probability"].isna().all()
        sentence = words.CALENDAR_TITLE_UNSURE if untold else words.CALENDAR_TITLE_NONE
    figure, place = style.page(
        words.CALENDAR_TITLE.format(sentence=sentence),
        min(max(0.1 * span_days, 2.2), 6.5),
        words.CALENDAR_NOTES,
    )
    axes = figure.add_axes(place)
    _clock_axis(axes, *_reach(survey, settings))
    for date, start, end, low, high in survey.ahead[
        ["date", "start", "end", "start_low", "end_high"]
    ].itertuples(index=False):
        y = (date - first).days
        a, b = _minute(start, zone), _minute(end, zone)
        axes.add_patch(
            Rectangle(
                (a, y - 0.42), max(b - a, 0), 0.84, facecolor=style.ACCENT, alpha=0.85, linewidth=0, zorder=2
            )
        )
        axes.hlines(y, _minute(low, zone), _minute(high, zone), color=style.ACCENT, linewidth=0.8, zorder=2)
    for date, name, chance in ahead[["date", "session", "sunlit_probability"]].itertuples(index=False):
        part = next(p for p in settings.sessions.parts if p.name == name)
        a, y = part.start.hour * 60 + part.start.minute, (date - first).days
        unsure = not np.isfinite(chance)
        axes.add_patch(Rectangle((a, y - 0.42), part.minutes, 0.84, zorder=4,
                                 facecolor=style.INK if chance >= 0.5 else "none", edgecolor=style.INK,
                                 linewidth=0.5, linestyle=":" if unsure else "-"))  # fmt: skip
    axes.set_ylim(span_days - 0.5, -0.5)
    _date_axis(axes, first, span_days)
    _clock_change(axes, first, span_days, settings)
    return figure


@style.drawn
def clear_day(survey: Survey, settings: Settings) -> Figure:
    """Draw the record of the clearest day, or the sunniest, with the detected spans as stripes."""
    found = survey.exposure
    if found is None or not len(survey.days):
        return style.instead(words.NOTHING_RECORDED)
    zone = settings.site.zone
    minutes = survey.spans.assign(n=survey.spans["end"] - survey.spans["start"]).groupby("date")["n"].sum()
    rows = survey.days.assign(sun=[minutes.get(d, dt.timedelta()) for d in survey.days["date"]])
    rows = rows[rows["logged"] > 0.8] if (rows["logged"] > 0.8).any() else rows
    row = int(rows.sort_values(["sun", "clear"], kind="stable").index[-1])
    date = survey.days["date"][row]
    spans = survey.spans[survey.spans["date"] == date]
    if len(spans):
        warmer = phrases.degrees(float(spans["excess_c"].mean()))
        lit = words.DAY_TITLE_MAYBE if survey.verdict.answer == "undecided" else words.DAY_TITLE_LIT
        title = lit.format(date=phrases.day(date), excess=warmer)
    else:
        title = words.DAY_TITLE_SHADED.format(date=phrases.day(date))
    clock, celsius = found.days.clock(settings.site)[row], found.days.celsius[row]
    shown = [
        (_minute(start, zone), _minute(end, zone), float(excess))
        for start, end, excess in spans[["start", "end", "excess_c"]].itertuples(index=False)
    ]
    airs = [
        ([a, b], [_near(clock, celsius, a - 8), _near(clock, celsius, b + 10)])
        for a, b, _ in shown
        if b - a <= STRAIGHT_MIN
    ]
    airs = [air for air in airs if np.isfinite(air[1]).all()]
    notes = {words.DAY_NOTE: True, words.DAY_SUN_NOTE: shown, words.DAY_AIR_NOTE: airs,
             words.DAY_SESSIONS_NOTE: True}  # fmt: skip
    figure, place = style.page(title, 3.2, " ".join(note for note, there in notes.items() if there))
    axes = figure.add_axes(place)
    low, high = _reach(survey, settings)
    _clock_axis(axes, min(low, 7 * 60), max(high, 17 * 60))
    axes.plot(*_joined(clock, celsius), color=style.PROBE, linewidth=1.3, zorder=3)
    inside = (clock >= axes.get_xlim()[0]) & (clock <= axes.get_xlim()[1]) & np.isfinite(celsius)
    bottom, top = float(np.min(celsius[inside])) - 0.8, float(np.max(celsius[inside])) + 1.2
    axes.set_ylim(bottom, top)
    for ends, air in airs:
        axes.plot(ends, air, color=style.INK, linewidth=1.0, linestyle=(0, (4, 2)), zorder=3)
    for a, b, excess in shown:
        axes.add_patch(Rectangle((a, bottom), b - a, top - bottom, facecolor="none", edgecolor=style.ACCENT,
                                 hatch=style.HATCH, linewidth=0.0, alpha=0.7, zorder=1))  # fmt: skip
        axes.annotate(
            phrases.degrees(excess, signed=True), ((a + b) / 2, bottom), xytext=(0, 4),
            textcoords="offset points", ha="center", fontsize=8.5, color=style.ACCENT, zorder=4,
            bbox={"facecolor": style.PAPER, "edgecolor": "none", "pad": 0.6},
        )  # fmt: skip
    _sessions(axes, settings, bottom, top)
    style.degree_scale(axes, signed=False)
    return figure


def _joined(clock: Array, celsius: Array) -> tuple[Array, Array]:
    """Return what was recorded, broken where three of its usual steps and more are missing."""
    known = np.flatnonzero(np.isfinite(celsius))
    steps = np.diff(clock[known])
    breaks = np.flatnonzero(steps > 3 * np.median(steps)) + 1 if len(steps) else known[:0]
    return np.insert(clock[known], breaks, np.nan), np.insert(celsius[known], breaks, np.nan)


def _near(clock: Array, celsius: Array, minute: float) -> float:
    """Return the record around a minute, degC, NaN where there is none."""
    close = (np.abs(clock - minute) <= 5) & np.isfinite(celsius)
    return float(np.median(celsius[close])) if close.any() else float("nan")


def _openings(axes: Axes, survey: Survey, south: bool) -> None:
    sides = ["azimuth_from", "azimuth_to", "elevation_from", "elevation_to"]
    likely = survey.openings[survey.openings["probability"] >= 0.5]
    for left, right, low, high in likely[sides].to_numpy(dtype=np.float64):
        west = left if south else (left + 180) % 360 - 180
        axes.add_patch(
            Rectangle((west, low), (right - left) % 360, high - low, facecolor="none", edgecolor=style.ACCENT,
                      hatch=style.HATCH, linewidth=0.9, zorder=1)
        )  # fmt: skip


def _reach(survey: Survey, settings: Settings) -> tuple[float, float]:
    """Return the local clock times between which there is something to see, minutes."""
    zone, school = settings.site.zone, settings.school
    low, high = (t.hour * 60.0 + t.minute for t in (school.day_start, school.day_end))
    for frame in (survey.spans, survey.ahead):
        for start, end in frame[["start", "end"]].itertuples(index=False):
            low, high = min(low, _minute(start, zone)), max(high, _minute(end, zone))
    return low - CLOCK_ROOM, high + CLOCK_ROOM


def _open_stretches(
    survey: Survey, settings: Settings, first: dt.date, last: dt.date
) -> list[tuple[float, float, int]]:
    calendar = survey.calendar
    clock = calendar.days.clock(settings.site)
    out = []
    for row, date in enumerate(calendar.days.dates(settings.site)):
        if first <= date <= last:
            cells = np.flatnonzero(np.diff(np.concatenate([[0], calendar.open[row] > 0.5, [0]])))
            for a, b in zip(cells[::2], cells[1::2], strict=True):
                end = clock[row, min(b, clock.shape[1] - 1)]
                out.append((float(clock[row, a]), float(end), (date - first).days))
    return out


def _clock_axis(axes: Axes, low: float, high: float) -> None:
    axes.set_xlim(low, high)
    axes.xaxis.set_major_locator(MultipleLocator(60))
    axes.xaxis.set_major_formatter(FuncFormatter(lambda x, _: f"{int(x) // 60:02d}:00"))
    axes.grid(axis="x", color=style.STRIPE, linewidth=0.6, zorder=0)


def _date_axis(axes: Axes, first: dt.date, count: int) -> None:
    step = 1 if count <= 14 else 7
    offset = 0 if count <= 14 else -first.weekday() % 7
    rows = list(range(offset, count, step))
    axes.set_yticks(rows, [phrases.day(first + dt.timedelta(days=r)) for r in rows])
    axes.tick_params(axis="y", length=0)
    axes.spines["left"].set_visible(False)


def _sessions(axes: Axes, settings: Settings, low: float, high: float) -> None:
    for part in settings.sessions.parts:
        a = part.start.hour * 60 + part.start.minute
        axes.add_patch(
            Rectangle(
                (a, low), part.minutes, high - low, facecolor=style.STRIPE, alpha=0.6, linewidth=0, zorder=0.5
            )
        )
        axes.vlines([a, a + part.minutes], low, high, color=style.FAINT, linewidth=0.6, zorder=0.6)
        axes.annotate(part.name, (a + part.minutes / 2, 1.0), xycoords=("data", "axes fraction"),
                      xytext=(0, 3), textcoords="offset points", ha="center", fontsize=8.0)  # fmt: skip


def _clock_change(axes: Axes, first: dt.date, count: int, settings: Settings) -> None:
    """Mark the night in which the clocks change."""
    zone = settings.site.zone
    noons = [
        dt.datetime.combine(first + dt.timedelta(days=i), dt.time(12), tzinfo=zone).utcoffset()
        for i in range(count)
    ]
    for i in range(1, count):
        if noons[i] != noons[i - 1]:
            axes.axhline(i - 0.5, color=style.INK, linewidth=0.9, linestyle=(0, (2, 2)), zorder=5)
            axes.annotate(words.CLOCKS_CHANGE, (0.3, i - 0.5), xycoords=("axes fraction", "data"),
                          xytext=(0, 2), textcoords="offset points", ha="center", va="bottom",
                          fontsize=8.0)  # fmt: skip


def _minute(moment: dt.datetime, zone: dt.tzinfo) -> float:
    local = moment.astimezone(zone)
    return local.hour * 60 + local.minute + local.second / 60


#: What is drawn of a place, by the name of its file.
PICTURES: Mapping[str, Callable[[Survey, Settings], Figure]] = {
    "picture-sun-days": days_by_clock,
    "picture-sky-map": sky_map,
    "picture-sun-calendar": sun_calendar,
    "picture-clear-day": clear_day,
}


def write(survey: Survey, settings: Settings, directory: Path) -> list[Path]:
    """Write every picture as PNG and SVG; return the files."""
    written = []
    for name, draw in PICTURES.items():
        figure = draw(survey, settings)
        for suffix in (".png", ".svg"):
            path = directory / f"{name}{suffix}"
            style.save(figure, path, words.PICTURE_TITLES[name])
            written.append(path)
    return written
