"""The vertical scale that every drawing of the class screen stands on: a tube, its marks, room for dots.

Each drawing is made twice, wide for projector, laptop and paper, narrow for a telephone; the page shows one.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from station.views import phrases
from station.views.web.together.svg import Drawing


@dataclass(frozen=True)
class Format:
    """Sizes of a drawing in its own units: the whole, its letters, its widest dot, room for labels."""

    name: str
    width: float
    height: float
    letters: float
    dot: float
    labels: float

    @property
    def left(self) -> float:
        """Return where the room right of the scale begins."""
        return 4.0 * self.letters

    @property
    def top(self) -> float:
        """Return the upper end of the scale."""
        return 1.75 * self.letters

    @property
    def bottom(self) -> float:
        """Return the lower end of the scale."""
        return self.height - 1.15 * self.letters

    @property
    def right(self) -> float:
        """Return where the room for dots ends."""
        return self.width - self.labels


#: On a screen of 1920 x 1080 it is about 1800 wide: letters of 58 px, capitals of 41 px (see together.css).
WIDE = Format("wide", 1600.0, 560.0, 52.0, 19.0, 390.0)
NARROW = Format("narrow", 360.0, 400.0, 16.0, 7.0, 126.0)

#: The tube stands this many letters from the left edge.
TUBE = 2.95
#: Steps between numbers on a scale [degrees].
_STEPS = (0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
#: Most numbers on a scale.
_NUMBERS = 7


@dataclass(frozen=True)
class Scale:
    """A vertical scale: its ends and the value of one mark, in degrees of one unit."""

    low: float
    high: float
    mark: float
    unit: str
    signed: bool = False

    def y(self, value: float, paper: Format) -> float:
        """Return the height of a value, kept between the ends."""
        share = (min(max(value, self.low), self.high) - self.low) / (self.high - self.low)
        return paper.bottom - share * (paper.bottom - paper.top)

    def holds(self, value: float) -> bool:
        """Tell whether a value lies on the scale."""
        return self.low <= value <= self.high

    def numbered(self) -> list[float]:
        """Return the values that carry a number."""
        step = next((s for s in _STEPS if (self.high - self.low) / s <= _NUMBERS - 1), _STEPS[-1])
        first = math.ceil(self.low / step - 1e-9)
        return [n * step for n in range(first, math.floor(self.high / step + 1e-9) + 1)]


def both(draw: Callable[[Format], Drawing]) -> Markup:
    """Return a drawing in both formats."""
    return Markup("").join(draw(paper).markup() for paper in (WIDE, NARROW))


def sheet(paper: Format, says: str, scale: Scale, tube: bool = True, right: float | None = None) -> Drawing:
    """Return a drawing with its scale: a glass tube with marks, or a bare rule for differences.

    ``right`` is where the levels end, by default where the room for labels begins.
    """
    right = paper.right if right is None else right
    drawing = Drawing(paper.width, paper.height, says, paper.name)
    x, letters = TUBE * paper.letters, paper.letters
    bore = 0.3 * letters
    if tube:
        drawing.rect(
            x - bore,
            0.35 * paper.top,
            2 * bore,
            paper.bottom + 0.45 * letters - 0.35 * paper.top,
            "glass",
            rx=bore,
        )
        drawing.circle(x, paper.bottom + 0.62 * letters, 0.5 * letters, "bulb")
    else:
        drawing.line(x, paper.top, x, paper.bottom, "rule")
    marks = round((scale.high - scale.low) / scale.mark)
    if marks <= 60:
        for n in range(marks + 1):
            y = scale.y(scale.low + n * scale.mark, paper)
            drawing.line(x - (1.6 if tube else 1.2) * bore, y, x - bore if tube else x, y, "mark")
    for value in scale.numbered():
        y = scale.y(value, paper)
        drawing.line(x - 2.1 * bore, y, x - bore if tube else x, y, "numbered")
        digits = 0 if abs(value - round(value)) < 1e-6 else 1
        drawing.text(
            x - 2.6 * bore, y, phrases.number(value, digits, signed=scale.signed), "", letters, anchor="end"
        )
        drawing.line(paper.left, y, right, y, "level")
    drawing.text(x - 2.6 * bore, 0.6 * letters, scale.unit, "soft", letters, anchor="end")
    return drawing


def column(drawing: Drawing, paper: Format, scale: Scale, value: float) -> None:
    """Let the liquid stand at a value."""
    x, wide = TUBE * paper.letters, 0.15 * paper.letters
    y = scale.y(value, paper)
    drawing.rect(x - wide, y, 2 * wide, paper.bottom + 0.62 * paper.letters - y, "liquid")
    drawing.circle(x, paper.bottom + 0.62 * paper.letters, 0.36 * paper.letters, "liquid")


def apart(heights: Sequence[float], room: float, top: float, bottom: float) -> list[float]:
    """Return heights moved no further than needed to lie ``room`` apart, in the order given."""
    order = sorted(range(len(heights)), key=lambda n: heights[n])
    placed = [heights[n] for n in order]
    for _ in range(50):
        for n in range(1, len(placed)):
            lack = room - (placed[n] - placed[n - 1])
            if lack > 0:
                placed[n - 1] -= lack / 2
                placed[n] += lack / 2
        placed = [min(max(y, top), bottom) for y in placed]
    out = [0.0] * len(heights)
    for n, y in zip(order, placed, strict=True):
        out[n] = y
    return out


def fit(values: Sequence[float], mark: float, unit: str, step: float = 5.0) -> Scale:
    """Return the scale that holds the values, its ends at multiples of ``step``."""
    if not values:
        return Scale(0.0, 20.0, mark, unit)
    low, high = math.floor(min(values) / step) * step, math.ceil(max(values) / step) * step
    if high - low < 2 * step:
        low, high = low - step, high + step
    return Scale(low, high, mark, unit)
