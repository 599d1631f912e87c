"""The travelling column: a thermometer carried outdoors, first-order lag with the box's time constant."""

from __future__ import annotations

import math

import numpy as np

from station.assess import Assessment
from station.views import phrases
from station.views.web.together import wording
from station.views.web.together.cards import distances
from station.views.web.together.lessons.scene import Needs, Scene, Unit
from station.views.web.together.paper import Format, Scale, both, fit, sheet
from station.views.web.together.svg import Drawing

#: It stands when it is this near [degC], half a mark of an ordinary tube.
NEAR_C = 0.5
#: The least gap worth drawing, and the outdoor air of the example where there is no such session [degC].
LEAST_GAP_C, EXAMPLE_C = 4.0, 5.0


def left_c(gap_c: float, minutes: float, tau_s: float) -> float:
    """Return what is left of a gap after some minutes: gap exp(-t / tau), first-order lag [degC]."""
    return gap_c * math.exp(-60.0 * minutes / tau_s)


def minutes_until(gap_c: float, near_c: float, tau_s: float) -> float:
    """Return the minutes until a gap has shrunk to ``near_c``: tau ln(gap / near); 0 if it is that small."""
    return max(0.0, tau_s / 60.0 * math.log(abs(gap_c) / near_c)) if gap_c else 0.0


def travelling(assessment: Assessment) -> Scene | Needs:
    """Show the latest session with a gap worth drawing, by its middle card; else an example that says so."""
    unit, settings = Unit.of(assessment), assessment.settings
    tau = settings.box.time_constant_s
    indoor = settings.sessions.indoor_c * unit.factor + unit.zero
    cards = distances(assessment)
    outdoor = EXAMPLE_C * unit.factor + unit.zero
    what = wording.WAITING_WHAT_BOX.format(tau=f"{tau:.0f}{phrases.NARROW}s")
    if len(cards):
        far = cards[(cards["middle"] - indoor).abs() >= LEAST_GAP_C * unit.factor]
        if len(far):
            date, part, outdoor = far[["date", "session", "middle"]].iloc[-1]
            what = wording.WAITING_WHAT.format(
                session=phrases.session_name(date, part), tau=f"{tau:.0f}{phrases.NARROW}s"
            )
    gap = indoor - outdoor
    near = NEAR_C * unit.factor
    stands = minutes_until(gap, near, tau)
    number = wording.WAITING_NUMBER.format(
        minutes=f"{phrases.number(stands)}{phrases.NARROW}min", left=unit.apart(left_c(gap, 1.0, tau))
    )
    see = wording.WAITING_SEE if gap > 0 else wording.WAITING_SEE_RISE
    says = f"{see} {number}"
    scale = fit([indoor, outdoor], unit.mark, unit.sign, 10.0 if unit.zero else 5.0)
    return Scene(
        ask=wording.WAITING_ASK.format(indoor=unit.reads(indoor), outdoor=unit.reads(outdoor)),
        picture=both(lambda paper: _draw(indoor, outdoor, tau, near, scale, says, paper)),
        see=see,
        numbers=(number,),
        more=(wording.WAITING_MORE,),
        what=what,
    )


def _draw(
    indoor: float, outdoor: float, tau: float, near: float, scale: Scale, says: str, paper: Format
) -> Drawing:
    right = paper.width - 1.2 * paper.letters
    drawing = sheet(paper, says, scale, right=right)
    stands = minutes_until(indoor - outdoor, near, tau)
    last = max(6.0, math.ceil(stands + 1.0))

    def x(minutes: float) -> float:
        return paper.left + (right - paper.left) * minutes / last

    def y(minutes: float) -> float:
        return scale.y(outdoor + left_c(indoor - outdoor, minutes, tau), paper)

    top, low = scale.y(outdoor + near, paper), scale.y(outdoor - near, paper)
    drawing.rect(paper.left, top, right - paper.left, low - top, "stripe half")
    drawing.line(paper.left, scale.y(outdoor, paper), right, scale.y(outdoor, paper), "zero")
    drawing.path([(x(t), y(t)) for t in np.linspace(0.0, last, 121)], "curve")
    every = 1 if (right - paper.left) / last > 3.0 * paper.letters else 2
    for minute in range(int(last) + 1):
        drawing.circle(x(minute), y(minute), 0.7 * paper.dot, "dot")
        if minute % every == 0:
            words = str(minute) if minute else f"0{phrases.NARROW}{wording.WAITING_AXIS}"
            anchor = "start" if minute == 0 else "middle"
            drawing.text(x(minute), paper.bottom + 0.72 * paper.letters, words, "soft", paper.letters, anchor)
    drawing.line(x(stands), y(stands), x(stands), scale.y(outdoor, paper) - 2.2 * paper.letters, "leader")
    drawing.text(
        x(stands),
        scale.y(outdoor, paper) - 2.7 * paper.letters,
        wording.WAITING_STANDS,
        "ours",
        paper.letters,
        "middle",
    )
    return drawing
