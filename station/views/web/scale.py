"""Dots on one vertical scale, as geometry for a drawing, in the units of its view box."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from dataclasses import dataclass

#: Size of the drawing; its shape is that of a projector below the question.
WIDTH, HEIGHT = 1800.0, 760.0
_TOP, _BOTTOM = 64.0, 680.0
_AXIS_X, _RIGHT = 150.0, 1760.0
#: The scale spans at least this many degrees, so that a class that agrees looks as if it agreed.
_LEAST_SPAN = 8.0


@dataclass(frozen=True)
class Tick:
    """A mark of the scale; ``label`` is empty between numbered marks."""

    y: float
    label: str


@dataclass(frozen=True)
class Dot:
    """A value at its place; ``low`` and ``high`` are the ends of its stripe, equal where it has none."""

    x: float
    y: float
    stripe_top: float
    stripe_height: float
    delay: int


@dataclass(frozen=True)
class Level:
    """A line across the drawing, with its stripe and its words."""

    y: float
    top: float
    height: float
    words: str


@dataclass(frozen=True)
class Drawing:
    """All that the picture shows; ``words`` says the same to who cannot see it."""

    ticks: tuple[Tick, ...]
    unit: str
    dots: tuple[Dot, ...]
    lane: float
    tallies: tuple[Level, ...]
    probe: Level | None
    number: Level | None
    words: str


@dataclass(frozen=True)
class Span:
    """Lowest and highest value that the scale shows."""

    low: float
    high: float

    def y(self, value: float) -> float:
        """Return where a value stands."""
        return round(_BOTTOM - (value - self.low) / (self.high - self.low) * (_BOTTOM - _TOP), 1)


def span_of(values: Sequence[float], around: float) -> Span:
    """Return a scale that holds the values and ``around`` degrees beyond them, at whole degrees."""
    low, high = (min(values), max(values)) if values else (0.0, 0.0)
    low, high = math.floor(low - around), math.ceil(high + around)
    missing = _LEAST_SPAN - (high - low)
    if missing > 0:
        low, high = low - math.floor(missing / 2), high + math.ceil(missing / 2)
    return Span(float(low), float(high))


def ticks(span: Span, minus: str) -> tuple[Tick, ...]:
    """Return marks at whole degrees, each numbered as far as letters have room."""
    wide = span.high - span.low
    every = next(step for step in (1, 2, 5, 10, 20, 50, 1000) if wide / step <= 13)
    small = 1 if wide <= 40 else every
    out = []
    for value in range(int(span.low), int(span.high) + 1, small):
        label = str(value).replace("-", minus) if value % every == 0 else ""
        out.append(Tick(span.y(value), label))
    return tuple(out)


def lanes(values: Sequence[float], seed: str) -> list[float]:
    """Return the values in an order that says nothing: shuffled, the same for the same session."""
    mixed = sorted(values)
    random.Random(seed).shuffle(mixed)
    return mixed


def lane_x(count: int) -> tuple[list[float], float]:
    """Return the middle of each lane, and a lane's width."""
    wide = min((_RIGHT - _AXIS_X - 330.0) / max(count, 1), 150.0)
    return [round(_AXIS_X + 90.0 + wide * (i + 0.5), 1) for i in range(count)], round(wide, 1)


def dots(values: Sequence[float], span: Span, half: float | None) -> tuple[tuple[Dot, ...], float]:
    """Return dots in their lanes, each with a stripe of ``half`` degrees either way where it is given."""
    xs, wide = lane_x(len(values))
    out = []
    for i, (x, value) in enumerate(zip(xs, values, strict=True)):
        top, bottom = (
            (span.y(value), span.y(value)) if half is None else (span.y(value + half), span.y(value - half))
        )
        out.append(Dot(x, span.y(value), top, round(bottom - top, 1), i % 10))
    return tuple(out), wide


def level(span: Span, value: float, half: float, words: str) -> Level:
    """Return a line at a value with a stripe of ``half`` degrees either way."""
    top, bottom = span.y(value + half), span.y(value - half)
    return Level(span.y(value), top, round(bottom - top, 1), words)
