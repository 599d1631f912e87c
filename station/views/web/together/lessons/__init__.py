"""The lessons, each a page: what its scene is called, and what makes it from a comparison."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from station.assess import Assessment
from station.views import phrases
from station.views.web.together import wording
from station.views.web.together.lessons import bucket, eye, numbers, probe_day, waiting
from station.views.web.together.lessons.scene import Needs, Scene, Unit

__all__ = ["LESSONS", "Lesson", "Needs", "Scene"]


@dataclass(frozen=True)
class Lesson:
    """One lesson: its heading, and what makes it; ``own`` is False where it is drawn from no cards."""

    heading: str
    scene: Callable[[Assessment], Scene | Needs]
    own: bool = True


def eye_line(assessment: Assessment) -> Scene:
    """Show the eye line, drawn for the side on which this box has its marks."""
    unit, side = Unit.of(assessment), assessment.settings.box.scale
    made = eye.eye(side, unit.factor, unit.zero, unit.sign)
    shift = abs(eye.shift_mm(eye.GAP_MM, 30.0, side))
    see = wording.EYE_SEE.format(side=wording.EYE_SIDES[side])
    number = wording.EYE_NUMBER.format(
        shift=f"{phrases.number(shift)}{phrases.NARROW}mm", error=unit.apart(made.reading(30.0) - made.shown)
    )
    gap, degree = (f"{phrases.number(mm)}{phrases.NARROW}mm" for mm in (eye.GAP_MM, made.degree_mm))
    return Scene(
        ask=wording.EYE_ASK,
        picture=eye.picture(made, 30.0, f"{see} {made.says(30.0)}"),
        see=see,
        numbers=(number,),
        more=(wording.EYE_MORE,),
        what=wording.EYE_WHAT.format(gap=gap, degree=degree),
        eye=made,
    )


#: In the order of two lessons of forty minutes: the air, the thermometer, the reader, then all together.
LESSONS: dict[str, Lesson] = {
    "same-air": Lesson(wording.SAME_AIR, numbers.same_air),
    "one-or-many": Lesson(wording.MEAN, numbers.one_or_many),
    "leaning": Lesson(wording.LEAN, numbers.leaning),
    "eye-line": Lesson(wording.EYE, eye_line, own=False),
    "waiting": Lesson(wording.WAITING_TITLE, waiting.travelling),
    "swap": Lesson(wording.SWAP, numbers.swap),
    "bucket": Lesson(wording.BUCKET, bucket.bucket),
    "probe-day": Lesson(wording.PROBE_DAY, probe_day.probe_day),
}
