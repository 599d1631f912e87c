"""All thermometers in one bucket: a mark each against the middle of the box, and the promised stripe."""

from __future__ import annotations

import math

import numpy as np

from station.assess import Assessment
from station.views import advice, phrases
from station.views.web.together import wording
from station.views.web.together.lessons.scene import Needs, Scene, Unit
from station.views.web.together.paper import Format, Scale, both, fit, sheet
from station.views.web.together.svg import Drawing

#: Fewest thermometers whose offset must be known.
FEWEST = 4


def bucket(assessment: Assessment) -> Scene | Needs:
    """Show offsets by the box check where there is one, else by the crossed fit of all cards."""
    table = assessment.thermometers
    table = table[table["offset"].notna() & table["separable"]] if len(table) else table
    if len(table) < FEWEST:
        return Needs(wording.BUCKET_NEED)
    unit = Unit.of(assessment)
    offsets = table["offset"].to_numpy(np.float64) * unit.factor
    numbers = [str(n) for n in table["number"]]
    promise = float(table["band"].median()) * unit.factor
    bands = table["band"].to_numpy(np.float64) * unit.factor
    inside = int((np.abs(offsets) <= bands).sum())
    number = wording.BUCKET_NUMBER.format(
        inside=inside, n=len(offsets), apart=unit.apart(float(offsets.max() - offsets.min()))
    )
    beyond = [str(n) for n in table["number"][advice.beyond_promise(table)]]
    if beyond:
        number = wording.BUCKET_BEYOND.format(number=number, numbers=phrases.listed(beyond))
    checked = len(assessment.frames.table("checks")) > 0
    furthest = float(np.abs(offsets).max()) + (0.0 if math.isnan(promise) else promise)
    scale = fit([-furthest, furthest], unit.mark / 2, unit.sign, 1.0)
    scale = Scale(scale.low, scale.high, scale.mark, scale.unit, signed=True)
    says = f"{wording.BUCKET_SEE} {number}"
    return Scene(
        ask=wording.BUCKET_ASK,
        picture=both(lambda paper: _draw(numbers, offsets.tolist(), promise, beyond, scale, says, paper)),
        see=wording.BUCKET_SEE,
        numbers=(number,),
        more=(wording.BUCKET_MORE,),
        what=wording.BUCKET_WHAT_CHECK if checked else wording.BUCKET_WHAT_CARDS,
    )


def _draw(
    numbers: list[str],
    offsets: list[float],
    promise: float,
    beyond: list[str],
    scale: Scale,
    says: str,
    paper: Format,
) -> Drawing:
    right = paper.width - 0.4 * paper.letters
    drawing = sheet(paper, says, scale, tube=False, right=right)
    drawing.line(paper.left, scale.y(0.0, paper), right, scale.y(0.0, paper), "zero")
    lane = (right - paper.left) / len(numbers)
    every = max(1, math.ceil(1.25 * paper.letters / lane))
    for n, (number, offset) in enumerate(zip(numbers, offsets, strict=True)):
        x, y = paper.left + (n + 0.5) * lane, scale.y(offset, paper)
        if not math.isnan(promise):
            top, low = scale.y(offset + promise, paper), scale.y(offset - promise, paper)
            drawing.rect(x - 0.36 * lane, top, 0.72 * lane, low - top, "stripe promise")
        drawing.line(
            x - 0.36 * lane, y, x + 0.36 * lane, y, "column-top far" if number in beyond else "column-top"
        )
        if n % every == 0 or number in beyond:
            drawing.text(x, paper.bottom + 0.62 * paper.letters, number, "", paper.letters, "middle")
    return drawing
