"""The steps of the reveal: what each asks, says and shows. The words and the picture say the same."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np
from markupsafe import Markup

from station.assess import Assessment
from station.views import phrases
from station.views.web.together import pictures, wording
from station.views.web.together.columns import Column, columns
from station.views.web.together.dots import ClassDots
from station.views.web.together.lessons.numbers import of_number
from station.views.web.together.lessons.scene import quartiles
from station.views.web.together.pictures import Layers, degrees
from station.views.web.together.question import Question, of_the_day

Stage = Literal["predict", "dots", "vote", "ours", "marks", "promise", "probe", "question"]
Form = Literal["long", "short"]

#: The storyboard; the vote and its outcome are one step, shown one after the other.
STAGES: dict[Form, tuple[Stage, ...]] = {
    "long": ("predict", "dots", "vote", "ours", "marks", "promise", "probe", "question"),
    "short": ("dots", "ours", "probe"),
}
NUMBER: dict[Stage, int] = {
    "predict": 1, "dots": 2, "vote": 3, "ours": 3, "marks": 4, "promise": 5, "probe": 6, "question": 7,
}  # fmt: skip
#: From here on the probe may be seen.
WITH_PROBE: frozenset[Stage] = frozenset(("probe", "question"))


@dataclass(frozen=True)
class Step:
    """One screen: a question as heading, sentences, the drawing in both formats, and the teacher's why."""

    heading: str
    says: tuple[str, ...]
    picture: Markup
    why: str = ""


def step(assessment: Assessment, dots: ClassDots, stage: Stage, form: Form, hands: int | None) -> Step:
    """Return what a stage shows; ``dots`` holds the probe only if the stage may show it."""
    if stage == "question":
        return _question(assessment, dots)
    heading = {
        "predict": wording.PREDICT, "dots": wording.DOTS, "vote": wording.OURS, "ours": wording.OURS,
        "marks": wording.MARKS, "promise": wording.PROMISE, "probe": wording.PROBE,
    }[stage]  # fmt: skip
    says = tuple(_sentences(dots, stage, hands))
    long = form == "long"
    layers = Layers(
        dots=stage != "predict",
        falling=stage == "dots",
        ours=stage in ("ours", "marks", "promise", "probe"),
        half=stage in ("marks", "promise") or (stage == "probe" and long),
        promise=stage == "promise" or (stage == "probe" and long),
        probe=stage == "probe",
    )
    return Step(heading, says, pictures.reveal(dots, layers, " ".join((heading, *says))))


def _sentences(dots: ClassDots, stage: Stage, hands: int | None) -> Iterator[str]:
    if stage == "predict":
        if hands is None:
            yield wording.PREDICT_ASK
        else:
            yield wording.PREDICT_HANDS_ONE if hands == 1 else wording.PREDICT_HANDS.format(n=hands)
    elif stage == "dots":
        yield from _apart(dots)
    elif stage == "vote":
        yield wording.OURS_VOTE
    elif stage == "ours":
        yield _ours(dots)
        if any(not dot.counted for dot in dots.dots):
            yield wording.HOLLOW
    elif stage == "marks":
        yield wording.MARKS_SAY.format(mark=_mark(dots.mark))
    elif stage == "promise":
        yield _promise(dots)
    else:
        yield from _probe(dots)


def _apart(dots: ClassDots) -> Iterator[str]:
    values = [dot.value for dot in dots.dots]
    if not values:
        yield wording.DOTS_NONE
    elif len(values) == 1:
        yield wording.DOTS_ONE.format(value=degrees(values[0], dots))
    elif min(values) == max(values):
        yield wording.DOTS_SAME.format(n=len(values), value=degrees(values[0], dots))
    else:
        yield wording.DOTS_SAY.format(
            n=len(values),
            low=degrees(min(values), dots),
            high=degrees(max(values), dots),
            apart=degrees(max(values) - min(values), dots),
        )
    n = len(dots.waiting)
    if n:
        yield wording.WAITING_ONE if n == 1 else wording.WAITING.format(n=n)
    if dots.blank:
        yield wording.BLANK_ONE if dots.blank == 1 else wording.BLANK.format(n=dots.blank)


def _ours(dots: ClassDots) -> str:
    middle = "" if dots.middle is None else degrees(dots.middle, dots)
    if dots.ours is not None:
        same = dots.ours == dots.middle
        return (wording.OURS_SAME if same else wording.OURS_SAY).format(
            value=degrees(dots.ours, dots), on=dots.ours_on, counted=dots.counted, middle=middle
        )
    if dots.middle is None:
        return wording.OURS_NONE
    if dots.note == "few_readings":
        return wording.OURS_FEW.format(counted=dots.counted, middle=middle)
    return wording.OURS_NO_AGREEMENT.format(middle=middle)


def _mark(mark: float) -> str:
    if mark == 1.0:
        return wording.MARK_ONE
    return wording.MARK_HALF if mark == 0.5 else wording.MARK_MANY.format(n=f"{mark:g}")


def _promise(dots: ClassDots) -> str:
    if math.isnan(dots.promise):
        return wording.PROMISE_NONE
    promise = degrees(dots.promise, dots)
    if dots.band_basis:
        return wording.PROMISE_BASIS.format(promise=promise, basis=dots.band_basis)
    return wording.PROMISE_SAY.format(promise=promise)


def _probe(dots: ClassDots) -> Iterator[str]:
    probe = dots.probe
    if probe is None:
        kinds = phrases.listed([phrases.kind(kind) for kind in dots.why_no_probe])
        yield wording.PROBE_NONE.format(kinds=kinds) if kinds else wording.PROBE_NONE_PLAIN
        return
    yield wording.PROBE_SAY.format(
        value=degrees(probe.value, dots, 1), expanded=degrees(probe.expanded, dots, 1)
    )
    if probe.doubts:
        yield wording.PROBE_DOUBT.format(kinds=phrases.listed([phrases.kind(kind) for kind in probe.doubts]))
    elif probe.expanded > dots.promise:
        yield wording.PROBE_WIDE


def _question(assessment: Assessment, dots: ClassDots) -> Step:
    asked = of_the_day(assessment, dots)
    spoken = " ".join((asked.heading, *asked.says))
    return Step(asked.heading, asked.says, _question_picture(assessment, dots, asked, spoken), asked.why)


def _question_picture(assessment: Assessment, dots: ClassDots, asked: Question, spoken: str) -> Markup:
    if asked.weeks is not None:
        groups = [
            Column(wording.WEEK_1, asked.weeks.first, quartiles(np.array(asked.weeks.first))),
            Column(wording.THIS_WEEK, asked.weeks.this, quartiles(np.array(asked.weeks.this))),
        ]
        return columns(groups, spoken, dots.mark, dots.unit)
    if asked.kind == "number":
        with_it, others = of_number(assessment, asked.number, scales=asked.scales)
        label = wording.NUMBER_LABEL.format(number=asked.number)
        groups = [Column(label, with_it), Column(wording.THE_OTHERS, others)]
        if with_it:
            return columns(groups, spoken, dots.mark, dots.unit, None if asked.scales else dots.promise)
    show_promise = asked.kind in ("explained", "together")
    layers = Layers(
        dots=True, ours=True, half=show_promise, promise=show_promise, probe=dots.probe is not None
    )
    return pictures.reveal(dots, layers, spoken)
