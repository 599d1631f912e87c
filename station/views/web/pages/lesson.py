"""Lesson scenes: a prediction first, then the picture, from the class's own numbers where they suffice."""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from starlette.requests import Request
from starlette.responses import Response

from station.base.exceptions import BadEntry
from station.record.model import Session
from station.views import phrases
from station.views.web import scale, wording
from station.views.web.columns import Columns, columns
from station.views.web.desk import Desk
from station.views.web.pages.screen import shown_values
from station.views.web.render import render
from station.views.web.rows import rows

#: Fewest readings that a scene is drawn from; below, invented numbers stand in and say so.
FEWEST = 30
DRAWS = 21
#: Outdoor air of the waiting scene [degC]; invented, so that the day's value is not given away.
OUTDOORS_C = 5.0


@dataclass(frozen=True)
class LessonPage:
    """One scene: ``look`` is the address of its picture while the class still predicts, else empty.

    ``moving`` names a drawing that can be moved: "eye" or "wait"; ``start``, ``end`` [degC] and ``tau`` [s]
    belong to the second, ``behind`` to the first: whether the marks lie behind the liquid.
    """

    title: str
    sentence: str
    more: str
    dots: scale.Drawing | None
    columns: Columns | None
    moving: str
    look: str
    back: str
    dark: bool
    start: float
    end: float
    tau: float
    behind: bool


@dataclass(frozen=True)
class _Scene:
    sentence: str
    dots: scale.Drawing | None = None
    columns: Columns | None = None
    moving: str = ""
    invented: bool = False


def lesson(desk: Desk, request: Request) -> Response:
    """Show a scene's question."""
    n = request.path_params["n"]
    dark = "?room=dark" if request.query_params.get("room") == "dark" else ""
    if not 1 <= n <= len(wording.LESSON_TITLES):
        raise BadEntry(wording.NOT_FOUND)
    return _page(desk, request, n, _Scene(wording.LESSON_PREDICT[n - 1]), f"/lesson/{n}/look{dark}", "")


def look(desk: Desk, request: Request) -> Response:
    """Show a scene's picture."""
    n = request.path_params["n"]
    scenes: tuple[Callable[[Desk], _Scene], ...] = (
        _same,
        _mean,
        _leaning,
        _eye,
        _wait,
        _swap,
        _bucket,
        _probe,
    )
    dark = "?room=dark" if request.query_params.get("room") == "dark" else ""
    if not 1 <= n <= len(scenes):
        raise BadEntry(wording.NOT_FOUND)
    return _page(desk, request, n, scenes[n - 1](desk), "", f"/lesson/{n}{dark}")


def _page(desk: Desk, request: Request, n: int, scene: _Scene, look: str, back: str) -> Response:
    box, sessions = desk.settings.box, desk.settings.sessions
    page = LessonPage(
        title=wording.LESSON_TITLES[n - 1],
        sentence=scene.sentence,
        more=wording.LESSON_INVENTED if scene.invented else "",
        dots=scene.dots,
        columns=scene.columns,
        moving=scene.moving,
        look=look,
        back=back,
        dark=request.query_params.get("room") == "dark",
        start=sessions.indoor_c,
        end=OUTDOORS_C,
        tau=box.time_constant_s,
        behind=box.scale == "behind",
    )
    return render(request, "lesson.html", page)


def _latest(desk: Desk) -> Session | None:
    table = desk.assessment().sessions
    held = [
        Session(d, p) for d, p in table[table["readings"] > 0][["date", "session"]].itertuples(index=False)
    ]
    return next((session for session in reversed(held) if desk.is_shown(session)), None)


def _drawn(values: tuple[float, ...], unit: str, words: str) -> scale.Drawing:
    span = scale.span_of(values, 1.0)
    dots, lane = scale.dots(values, span, None)
    return scale.Drawing(scale.ticks(span, phrases.MINUS), unit, dots, lane, (), None, None, words)


def _same(desk: Desk) -> _Scene:
    latest = _latest(desk)
    shown = None if latest is None else shown_values(desk, latest)
    if shown is None or len(shown.values) < 4:
        values = (8.0, 9.0, 8.0, 7.0, 8.5, 8.0, 9.0, 7.0)
        words = wording.LESSON_SAME.format(n=3, apart=phrases.degrees(2.0, 0))
        return _Scene(words, dots=_drawn(values, wording.CELSIUS, words), invented=True)
    words = wording.LESSON_SAME.format(
        n=len(set(shown.values)), apart=shown.say(max(shown.values) - min(shown.values))
    )
    return _Scene(words, dots=_drawn(shown.values, shown.unit, words))


def _deviations(desk: Desk) -> list[np.ndarray]:
    """Return, per session, how far unquestioned readings lie from their session's middle [degC]."""
    rows = desk.assessment().readings
    rows = rows[~rows["questioned"] & rows["indication"].notna()]
    groups = [
        g["indication"].to_numpy() - g["indication"].median() for _, g in rows.groupby(["date", "session"])
    ]
    return [group for group in groups if group.size >= 6]


def _mean(desk: Desk) -> _Scene:
    groups = _deviations(desk)
    invented = sum(group.size for group in groups) < FEWEST
    rng = random.Random(7)
    if invented:
        groups = [np.array([rng.gauss(0.0, 1.0) for _ in range(12)]) for _ in range(8)]
    data, nine = [], []
    for size in (1, 3, 6):
        means = []
        for _ in range(DRAWS):
            group = groups[rng.randrange(len(groups))]
            means.append(float(np.mean(rng.sample(list(group), size))))
        data.append((wording.LESSON_MEAN_COLUMNS[size], means))
        nine.append(float(np.quantile(np.abs(means), 0.9)))
    words = wording.LESSON_MEAN.format(one=phrases.degrees(nine[0]), six=phrases.degrees(nine[2]))
    return _Scene(words, columns=columns(data, words, wording.CELSIUS, signed=True), invented=invented)


def _leaning(desk: Desk) -> _Scene:
    found = desk.assessment()
    table = found.thermometers[found.thermometers["readings"] >= 8].dropna(subset=["offset"])
    read = found.readings.dropna(subset=["error"])
    read = read[~read["slip"] & ~read["doubted"]]
    if len(table) < 2 or len(read) < FEWEST:
        rng = random.Random(3)
        warm = [round(1.5 + rng.gauss(0.0, 0.3), 1) for _ in range(10)]
        wide = [round(rng.gauss(0.0, 1.2), 1) for _ in range(10)]
        data = [(wording.LESSON_LEANS, warm), (wording.LESSON_SCATTERS, wide)]
        return _Scene(
            wording.LESSON_LEANING,
            columns=columns(data, wording.LESSON_LEANING, wording.CELSIUS, signed=True),
            invented=True,
        )
    by_size = table.iloc[table["offset"].abs().to_numpy().argsort()]["number"].tolist()
    data = []
    for number in (by_size[-1], by_size[0]):
        errors = read.loc[read["thermometer"] == number, "error"].tail(14)
        label = wording.LESSON_NUMBER.format(number=number)
        data.append((label, [round(float(e), 1) for e in errors if abs(e) < 8.0]))
    return _Scene(
        wording.LESSON_LEANING, columns=columns(data, wording.LESSON_LEANING, wording.CELSIUS, signed=True)
    )


def _eye(desk: Desk) -> _Scene:
    return _Scene(wording.LESSON_EYE, moving="eye")


def _wait(desk: Desk) -> _Scene:
    return _Scene(wording.LESSON_WAIT.format(air=phrases.degrees(OUTDOORS_C, 0)), moving="wait")


def _swap(desk: Desk) -> _Scene:
    data = list(
        zip(wording.LESSON_SWAP_COLUMNS, ([8.0, 8.0], [10.0, 10.0], [10.0, 10.0], [8.0, 8.0]), strict=True)
    )
    drawn = columns(data, wording.LESSON_SWAP, wording.CELSIUS)
    return _Scene(wording.LESSON_SWAP, columns=drawn, invented=True)


def _bucket(desk: Desk) -> _Scene:
    checks = desk.book.table("checks")
    checks = checks[
        (checks["scale"] != "fahrenheit") & checks["reading"].notna() & (checks["thermometer"] != "")
    ]
    if checks["thermometer"].nunique() >= 4:
        last = checks[checks["date"] == checks["date"].max()]
        middle = float(last["reading"].median())
        data = [
            (str(number), [float(group["reading"].median())])
            for number, group in sorted(last.groupby("thermometer"), key=lambda item: (len(item[0]), item[0]))
        ]
    else:
        middle = 18.0
        data = [(str(n + 1), [middle + d]) for n, d in enumerate((0.0, 0.5, -0.5, 0.0, 0.5, 0.0, 1.5, -0.5))]
    words = wording.LESSON_BUCKET
    stripe = (middle - 1.0, middle + 1.0)
    drawn = columns(data, words, wording.CELSIUS, stripes=[stripe] * len(data))
    return _Scene(words, columns=drawn, invented=checks["thermometer"].nunique() < 4)


def _probe(desk: Desk) -> _Scene:
    kinds = ("power_on_value", "disconnected_value", "indoors", "stuck", "out_of_range")
    table = desk.assessment().sessions
    for row in rows(table[table["readings"] >= 4].iloc[::-1]):
        kind = next((kind for kind in kinds if kind in row["notes"]), None)
        of = Session(row["date"], row["session"])
        if kind is None or math.isnan(row["median"]) or not desk.is_shown(of):
            continue
        shown = shown_values(desk, of)
        words = wording.LESSON_PROBE.format(
            day=phrases.day(of.date, weekday=True), kind=phrases.kind(kind), middle=shown.say(row["median"])
        )
        return _Scene(words, dots=_drawn(shown.values, shown.unit, words))
    values = (14.0, 14.0, 15.0, 13.0, 14.0, 14.5, 15.0, 14.0)
    words = wording.LESSON_PROBE.format(
        day=wording.LESSON_A_DAY, kind=phrases.kind("power_on_value"), middle=phrases.degrees(14.0, 0)
    )
    return _Scene(words, dots=_drawn(values, wording.CELSIUS, words), invented=True)
