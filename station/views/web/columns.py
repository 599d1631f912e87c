"""Several columns of dots on one vertical scale, each with its words below: the picture of most lessons."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from station.views import phrases
from station.views.web import scale

#: Dots of a column stand in so many places side by side, so that equal ones do not hide each other.
_SIDE_BY_SIDE = 7


@dataclass(frozen=True)
class Spot:
    """One dot."""

    x: float
    y: float


@dataclass(frozen=True)
class Column:
    """A column: its middle, its dots, its stripe (no height: none) and its words."""

    x: float
    spots: tuple[Spot, ...]
    stripe_top: float
    stripe_height: float
    wide: float
    words: str


@dataclass(frozen=True)
class Columns:
    """The whole drawing; ``zero`` is where 0 stands if the scale is one of differences."""

    ticks: tuple[scale.Tick, ...]
    columns: tuple[Column, ...]
    zero: float | None
    unit: str
    words: str


def columns(
    data: Sequence[tuple[str, Sequence[float]]],
    words: str,
    unit: str,
    *,
    stripes: Sequence[tuple[float, float] | None] = (),
    signed: bool = False,
) -> Columns:
    """Return a drawing of columns.

    Parameters
    ----------
    data
        Words below each column and its values [degrees].
    words
        What the picture shows, for who cannot see it.
    unit
        Of the scale.
    stripes
        Lower and upper end of a stripe behind each column, None for none.
    signed
        The scale is one of differences: numbers carry their sign and 0 has a line.
    """
    every = [value for _, values in data for value in values]
    ends = [end for stripe in stripes if stripe for end in stripe]
    span = scale.span_of([*every, *ends, *([0.0] if signed else [])], 0.5)
    room = (scale.WIDTH - 300.0) / max(len(data), 1)
    made = []
    for at, (label, values) in enumerate(data):
        x = 230.0 + room * (at + 0.5)
        stripe = stripes[at] if at < len(stripes) else None
        top, bottom = (0.0, 0.0) if stripe is None else (span.y(stripe[1]), span.y(stripe[0]))
        spots = tuple(
            Spot(round(x + dx, 1), span.y(v)) for v, dx in zip(values, _beside(values), strict=True)
        )
        made.append(
            Column(round(x, 1), spots, top, round(bottom - top, 1), round(min(room * 0.8, 330.0), 1), label)
        )
    marks = scale.ticks(span, phrases.MINUS)
    if signed:
        plus = tuple(
            scale.Tick(t.y, f"+{t.label}" if t.label.isdigit() and t.label != "0" else t.label) for t in marks
        )
        return Columns(plus, tuple(made), span.y(0.0), unit, words)
    return Columns(marks, tuple(made), None, unit, words)


def _beside(values: Sequence[float]) -> list[float]:
    """Return how far each dot stands beside the middle: equal values side by side, 34 units apart."""
    seen: dict[float, int] = {}
    out = []
    for value in values:
        n = seen.get(round(value, 1), 0)
        seen[round(value, 1)] = n + 1
        n %= _SIDE_BY_SIDE
        out.append(34.0 * ((n + 1) // 2) * (1 if n % 2 else -1))
    return out
