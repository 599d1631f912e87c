"""The eye line: how far the line of sight through the top of the column misses the mark beside it.

The shift is d tan(theta), with d from the column to the marks and theta the angle of the sight from level
(plane geometry; 2.5 mm at 30 degrees gives 1.44 mm). With the marks behind the column an eye too low reads
too warm; with the marks in front of it the reverse.
"""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from typing import Any

from markupsafe import Markup

from station.views import phrases
from station.views.web.together import wording
from station.views.web.together.paper import NARROW, WIDE, Format, both
from station.views.web.together.svg import Drawing

#: Column to marks [mm]: the glass of an ordinary tube on its plate; common practice.
GAP_MM = 2.5
#: One degree Celsius on the scale [mm]: 80 degrees on 120 mm; common practice for a classroom thermometer.
DEGREE_MM = 1.5
#: How far the eye can be moved [degrees of angle from level].
FURTHEST_DEG = 40
#: The column of the drawing [degC], and the degrees drawn on either side of it.
SHOWN_C, AROUND_C = 14.0, 3.0


def shift_mm(gap_mm: float, below_deg: float, side: str) -> float:
    """Return how far above the top of the column the mark seen stands [mm]; below, if negative.

    Parameters
    ----------
    gap_mm : float
        From column to marks.
    below_deg : float
        How far the eye stands below level, as the angle of its line of sight; negative above.
    side : {"behind", "front"}
        Where the marks are, seen from the eye.
    """
    rise = gap_mm * math.tan(math.radians(below_deg))
    return rise if side == "behind" else -rise


@dataclass(frozen=True)
class Eye:
    """What the page's script needs to move the eye: geometry in units of the drawing, words to fill in.

    ``behind`` is 1 with the marks behind the column, -1 in front; ``degree_mm`` is one degree of ``unit``.
    """

    gap_mm: float
    degree_mm: float
    behind: int
    shown: float
    unit: str
    furthest: int
    level: str
    low: str
    high: str
    warm: str
    cool: str
    label: str

    def reading(self, below_deg: float) -> float:
        """Return what the eye reads, in degrees of the unit."""
        side = "behind" if self.behind > 0 else "front"
        return self.shown + shift_mm(self.gap_mm, below_deg, side) / self.degree_mm

    def says(self, below_deg: float) -> str:
        """Return the sentence of one place of the eye."""
        reads = self.reading(below_deg)
        error = reads - self.shown
        value = f"{phrases.number(reads)}{phrases.NARROW}{self.unit}"
        if abs(error) < 0.05:
            return self.level.format(value=value)
        sentence = self.low if below_deg > 0 else self.high
        way = self.warm if error > 0 else self.cool
        off = f"{phrases.number(abs(error))}{phrases.NARROW}{self.unit}"
        return sentence.format(angle=phrases.number(abs(below_deg), 0), value=value, error=off, way=way)

    def data(self) -> dict[str, Any]:
        """Return everything as plain values."""
        return asdict(self)


def eye(side: str, factor: float, zero: float, unit: str) -> Eye:
    """Return the geometry for a box whose marks are on one side, in the degrees of the class."""
    return Eye(
        gap_mm=GAP_MM,
        degree_mm=DEGREE_MM / factor,
        behind=1 if side == "behind" else -1,
        shown=SHOWN_C * factor + zero,
        unit=unit,
        furthest=FURTHEST_DEG,
        level=wording.EYE_LEVEL,
        low=wording.EYE_LOW,
        high=wording.EYE_HIGH,
        warm=wording.EYE_TOO_WARM,
        cool=wording.EYE_TOO_COOL,
        label=wording.EYE_LABEL,
    )


@dataclass(frozen=True)
class Stage:
    """Where things stand in one format of the drawing, in its units; the script moves the eye by the same.

    The eye moves on a circle of ``radius`` about the top of the column at (``tube``, ``middle``); ``marks``
    is the line of the marks, ``mm`` one millimetre at the tube.
    """

    name: str
    tube: float
    marks: float
    middle: float
    radius: float
    mm: float

    @classmethod
    def of(cls, eye_: Eye, paper: Format) -> Stage:
        """Return the stage of one format."""
        half = paper.height / 2 - 0.8 * paper.letters
        mm = (paper.height / 2) / (AROUND_C * DEGREE_MM)
        tube = (0.45 if paper.name == "wide" else 0.5) * paper.width
        radius = min(half / math.sin(math.radians(FURTHEST_DEG)), paper.width - tube - 1.2 * paper.letters)
        return cls(paper.name, tube, tube - eye_.behind * eye_.gap_mm * mm, paper.height / 2, radius, mm)


def picture(of: Eye, below_deg: float, says: str) -> Markup:
    """Return the drawing, seen from the side, with the eye at one place; the script moves it from there."""
    return both(lambda paper: _draw(of, below_deg, says, paper))


def stages(of: Eye) -> list[dict[str, Any]]:
    """Return the stage of every format as plain values."""
    return [asdict(Stage.of(of, paper)) for paper in (WIDE, NARROW)]


def _draw(of: Eye, below_deg: float, says: str, paper: Format) -> Drawing:
    at, letters = Stage.of(of, paper), paper.letters
    drawing = Drawing(paper.width, paper.height, says, f"{paper.name} eye-line")
    bore = 0.32 * letters
    drawing.rect(at.tube - bore, 0, 2 * bore, paper.height, "glass")
    drawing.rect(at.tube - 0.55 * bore, at.middle, 1.1 * bore, paper.height - at.middle, "liquid")
    drawing.line(at.marks, 0, at.marks, paper.height, "plate")
    _marks(drawing, of, at, paper)
    angle = math.radians(below_deg)
    x, y = at.tube + at.radius * math.cos(angle), at.middle + at.radius * math.sin(angle)
    end = min(at.marks, at.tube)
    seen = at.middle - (of.reading(below_deg) - of.shown) * of.degree_mm * at.mm
    drawing.group("sight", f"sight-{paper.name}")
    drawing.line(x, y, end, at.middle - (at.tube - end) * math.tan(angle), "sight-line")
    drawing.line(at.marks - 0.9 * letters, seen, at.marks + 0.9 * letters, seen, "sight-mark")
    drawing.circle(x, y, 0.62 * letters, "eye-white")
    drawing.circle(
        x - 0.28 * letters * math.cos(angle), y - 0.28 * letters * math.sin(angle), 0.27 * letters, "eye-iris"
    )
    drawing.end()
    return drawing


def _marks(drawing: Drawing, of: Eye, at: Stage, paper: Format) -> None:
    """Draw the marks on the side away from the column, a number at every one there is room for."""
    letters, one = paper.letters, of.degree_mm * at.mm
    outward = -1 if of.behind > 0 else 1
    step = 1 if one >= 1.1 * letters else 2
    for value in range(math.ceil(of.shown) - 12, math.floor(of.shown) + 13):
        y = at.middle - (value - of.shown) * one
        if not 0 <= y <= paper.height:
            continue
        long = value % step == 0
        drawing.line(at.marks, y, at.marks + outward * (0.5 if long else 0.3) * letters, y, "mark")
        if long and 0.5 * letters <= y <= paper.height - 0.5 * letters:
            x = at.marks + outward * 0.7 * letters
            drawing.text(x, y, phrases.number(value, 0), "", letters, "end" if outward < 0 else "start")
