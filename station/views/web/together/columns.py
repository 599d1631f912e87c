"""Columns of dots on one scale of differences: groups beside each other, a zero line, a stripe."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from station.views.web.together import wording
from station.views.web.together.paper import Format, Scale, both, fit, sheet
from station.views.web.together.svg import Drawing

#: Most dots drawn in one column.
MOST = 50


@dataclass(frozen=True)
class Column:
    """A group of dots: its name, the values, and what the middle half spans, if that is to be shown."""

    label: str
    values: tuple[float, ...]
    span: tuple[float, float] | None = None


def columns(
    groups: Sequence[Column], says: str, mark: float, unit: str, stripe: float | None = None
) -> Markup:
    """Return the drawing; ``stripe`` is a half-width about zero that an instrument promises."""
    groups = [_thinned(group) for group in groups]
    reach = max((abs(v) for group in groups for v in group.values), default=1.0)
    scale = fit([-reach, reach], mark, unit, _step(reach))
    scale = Scale(scale.low, scale.high, mark, unit, signed=True)
    return both(lambda paper: _draw(groups, says, scale, stripe, paper))


def _thinned(group: Column) -> Column:
    """Return a column of at most `MOST` dots: every so manieth in order of size, which its name then says."""
    every = -(-len(group.values) // MOST)
    if every < 2:
        return group
    label = wording.THINNED.format(label=group.label, n=every)
    return Column(label, group.values[every // 2 :: every], group.span)


def _step(reach: float) -> float:
    return 1.0 if reach < 4 else 2.0 if reach < 8 else 5.0


def _draw(groups: Sequence[Column], says: str, scale: Scale, stripe: float | None, paper: Format) -> Drawing:
    right = paper.width - 0.4 * paper.letters
    drawing = sheet(paper, says, scale, tube=False, right=right)
    if stripe is not None:
        top, low = scale.y(stripe, paper), scale.y(-stripe, paper)
        drawing.rect(paper.left, top, right - paper.left, low - top, "stripe promise")
    drawing.line(paper.left, scale.y(0.0, paper), right, scale.y(0.0, paper), "zero")
    wide = (right - paper.left) / max(len(groups), 1)
    radius = _radius(groups, 0.46 * wide, scale, paper)
    for n, group in enumerate(groups):
        centre = paper.left + (n + 0.5) * wide
        if group.span is not None:
            top, low = scale.y(group.span[1], paper), scale.y(group.span[0], paper)
            drawing.rect(centre - 0.46 * wide, top, 0.92 * wide, max(low - top, 2.0), "half-box")
        drawing.group("dots")
        for x, y in _swarm(group.values, centre, radius, scale, paper):
            drawing.circle(x, y, radius, "dot small")
        drawing.end()
        drawing.text(centre, paper.bottom + 0.62 * paper.letters, group.label, "", paper.letters, "middle")
    return drawing


def _radius(groups: Sequence[Column], half: float, scale: Scale, paper: Format) -> float:
    """Return the largest radius, the same for all columns, with which the fullest row has room."""
    radius = 0.62 * paper.dot
    while radius > 0.15 * paper.dot:
        fullest = max(
            (len(row) for group in groups for row in _rows(group.values, radius, scale, paper)), default=1
        )
        if 1.05 * radius * fullest <= half:
            break
        radius *= 0.9
    return radius


def _rows(values: Sequence[float], radius: float, scale: Scale, paper: Format) -> list[list[float]]:
    """Return the heights of the dots, those together that would touch."""
    rows: dict[int, list[float]] = {}
    for value in sorted(values):
        y = scale.y(value, paper)
        rows.setdefault(round(y / (1.9 * radius)), []).append(y)
    return list(rows.values())


def _swarm(
    values: Sequence[float], centre: float, radius: float, scale: Scale, paper: Format
) -> list[tuple[float, float]]:
    """Place the dots of one column beside each other where they would touch."""
    step = 2.1 * radius
    return [
        (centre + (k - (len(row) - 1) / 2) * step, y)
        for row in _rows(values, radius, scale, paper)
        for k, y in enumerate(row)
    ]
