"""The drawings of the reveal: dots beside each other on one scale, stripes behind, the probe last."""

from __future__ import annotations

import math
from dataclasses import dataclass

from markupsafe import Markup

from station.views import phrases
from station.views.web.together import wording
from station.views.web.together.dots import ClassDots
from station.views.web.together.paper import Format, Scale, apart, both, column, fit, sheet
from station.views.web.together.svg import Drawing

#: The probe further than this beyond the dots stays at the end of the scale, with its value [degrees].
PROBE_FURTHEST = 10.0


@dataclass(frozen=True)
class Layers:
    """What a step shows over the empty scale."""

    dots: bool = False
    falling: bool = False
    ours: bool = False
    half: bool = False
    promise: bool = False
    probe: bool = False


def reveal(dots: ClassDots, layers: Layers, says: str) -> Markup:
    """Return the drawing of one step; ``says`` is its sentence for those who can't see it."""
    scale = _scale(dots, layers)
    return both(lambda paper: _draw(dots, layers, says, scale, paper))


def _scale(dots: ClassDots, layers: Layers) -> Scale:
    """Return the scale: from the cards alone until the probe comes; in step 1 it gives nothing away."""
    step = 10.0 if dots.letter == "F" else 5.0
    ends = []
    for dot in dots.dots:
        reach = dot.half if math.isnan(dot.promise) else max(dot.half, dot.promise)
        ends += [dot.value - reach, dot.value + reach]
    if not layers.dots:
        return fit(ends, dots.mark, dots.unit, 2 * step)
    if layers.probe and dots.probe is not None and ends:
        low, high = min(ends) - PROBE_FURTHEST, max(ends) + PROBE_FURTHEST
        ends.append(min(max(dots.probe.value, low), high))
    return fit(ends, dots.mark, dots.unit, step)


def _draw(dots: ClassDots, layers: Layers, says: str, scale: Scale, paper: Format) -> Drawing:
    drawing = sheet(paper, says, scale)
    if layers.ours and dots.ours is not None:
        column(drawing, paper, scale, dots.ours)
    lane = (paper.right - paper.left) / max(len(dots.dots), 8)
    middles = [paper.left + (n + 0.5) * lane for n in range(len(dots.dots))]
    _stripes(drawing, dots, layers, scale, paper, middles, lane)
    if layers.probe and dots.probe is not None:
        _probe(drawing, dots, scale, paper)
    _labels(drawing, dots, layers, scale, paper)
    if layers.dots:
        drawing.group("dots falling" if layers.falling else "dots")
        for x, dot in zip(middles, dots.dots, strict=True):
            kind = "dot" if dot.counted else "dot ring"
            drawing.circle(x, scale.y(dot.value, paper), min(paper.dot, 0.42 * lane), kind)
        drawing.end()
        _waiting(drawing, len(dots.waiting), paper)
    return drawing


def _stripes(
    drawing: Drawing,
    dots: ClassDots,
    layers: Layers,
    scale: Scale,
    paper: Format,
    middles: list[float],
    lane: float,
) -> None:
    """Draw the stripes of each card in its own lane; the lanes are in the order of the values."""
    for kind, wide in (("promise", 0.78 * lane), ("half", 0.5 * lane)):
        if not getattr(layers, kind):
            continue
        for x, dot in zip(middles, dots.dots, strict=True):
            reach = getattr(dot, kind)
            if not math.isnan(reach):
                top, low = scale.y(dot.value + reach, paper), scale.y(dot.value - reach, paper)
                drawing.rect(x - wide / 2, top, wide, low - top, f"stripe {kind}")


def _waiting(drawing: Drawing, n: int, paper: Format) -> None:
    """Draw the cards that wait as blank cards, face down."""
    wide, high = 0.55 * paper.letters, 0.75 * paper.letters
    step = min(1.3 * wide, (paper.labels - 0.6 * paper.letters) / max(n, 1))
    for k in range(n):
        x = paper.right + 0.5 * paper.letters + k * step
        drawing.rect(
            x, paper.bottom - high + 0.9 * paper.letters, wide, high, "card", rx=0.06 * paper.letters
        )


def _probe(drawing: Drawing, dots: ClassDots, scale: Scale, paper: Format) -> None:
    probe = dots.probe
    assert probe is not None
    fill = drawing.hatch(f"hatch-{paper.name}", 0.3 * paper.letters)
    top, low = scale.y(probe.value + probe.expanded, paper), scale.y(probe.value - probe.expanded, paper)
    drawing.rect(paper.left, top, paper.right - paper.left, low - top, "probe-stripe", fill=fill)
    y = scale.y(probe.value, paper)
    drawing.line(paper.left, y, paper.right, y, "probe-mark")


def _labels(drawing: Drawing, dots: ClassDots, layers: Layers, scale: Scale, paper: Format) -> None:
    """Write what stands at a height at the right, moved apart where two would touch."""
    found: list[tuple[float, str, str]] = []
    if layers.ours:
        same = dots.ours is not None and dots.ours == dots.middle
        if dots.ours is not None:
            found.append((dots.ours, wording.OURS_LABEL, "ours"))
        if dots.middle is not None and not same:
            found.append((dots.middle, wording.MIDDLE_LABEL, "middle"))
    if layers.probe and dots.probe is not None:
        found.append((dots.probe.value, wording.PROBE_LABEL, "probe-word"))
    heights = [scale.y(value, paper) for value, _, _ in found]
    placed = apart(heights, 1.1 * paper.letters, paper.top, paper.bottom - 0.4 * paper.letters)
    x = paper.right
    for (value, words, kind), y, at in zip(found, heights, placed, strict=True):
        if kind != "probe-word":
            drawing.line(paper.left, y, x, y, f"level-{kind}")
        drawing.line(x, y, x + 0.4 * paper.letters, at, "leader")
        shown = words if scale.holds(value) else f"{words} {degrees(value, dots)}"
        drawing.text(x + 0.55 * paper.letters, at, shown, kind, paper.letters)


def degrees(value: float, dots: ClassDots, digits: int | None = None) -> str:
    """Return a value with the unit of the class; whole numbers stay whole."""
    if digits is None:
        digits = 0 if abs(value - round(value)) < 1e-6 else 1
    return f"{phrases.number(value, digits)}{phrases.NARROW}{dots.unit}"
