"""The one question of the day, chosen from the data by conditions that are said to the teacher."""

from __future__ import annotations

from dataclasses import dataclass

from station.assess import Assessment
from station.views import advice, phrases
from station.views.web.together import wording
from station.views.web.together.cards import Weeks, weeks
from station.views.web.together.dots import ClassDots, rows_of

#: Fewest different numbers for "three teams, three numbers".
FEWEST_NUMBERS = 3
#: A spread counts as changed from this ratio on, either way; rule of the class screen.
CHANGED = 0.75


@dataclass(frozen=True)
class Question:
    """A question: its kind, the heading, what to look at, why it was chosen, and what its picture needs.

    ``number`` is a thermometer; ``scales``: its two scales are the matter, not its lean.
    """

    kind: str
    heading: str
    says: tuple[str, ...]
    why: str
    number: str = ""
    scales: bool = False
    weeks: Weeks | None = None


def of_the_day(assessment: Assessment, dots: ClassDots) -> Question:
    """Choose: what all share first, then a thermometer, then what is explained, then the weeks."""
    if advice.off_together(rows_of(assessment, dots.session)):
        return Question("together", wording.Q_TOGETHER, (wording.Q_TOGETHER_SAY,), wording.Q_TOGETHER_WHY)
    found = _number(assessment, dots)
    if found is not None:
        return found
    if explained(dots):
        return Question("explained", wording.Q_EXPLAINED, (wording.Q_EXPLAINED_SAY,), wording.Q_EXPLAINED_WHY)
    then_and_now = weeks(assessment, dots.session)
    if then_and_now is not None and not CHANGED < then_and_now.ratio < 1.0 / CHANGED:
        says = wording.Q_WEEKS_SAY.format(
            then=phrases.number(then_and_now.then, 1) + phrases.NARROW + dots.unit,
            now=phrases.number(then_and_now.now, 1) + phrases.NARROW + dots.unit,
        )
        return Question("weeks", wording.Q_WEEKS, (says,), wording.Q_WEEKS_WHY, weeks=then_and_now)
    return Question("open", wording.Q_OPEN, (wording.Q_OPEN_SAY,), wording.Q_OPEN_WHY)


def explained(dots: ClassDots) -> bool:
    """Tell whether marks and thermometers explain every dot shown, so that nobody needs to look again.

    Every dot lies within its thermometer's promise and half a mark of the probe's value, the probe's own
    doubt is no wider than any of these promises, and nothing else casts doubt on the probe.
    """
    probe = dots.probe
    if probe is None or probe.doubts or len({dot.value for dot in dots.dots}) < FEWEST_NUMBERS:
        return False
    return all(
        probe.expanded <= dot.promise and abs(dot.value - probe.value) <= dot.promise + dot.half
        for dot in dots.dots
    )


def _number(assessment: Assessment, dots: ClassDots) -> Question | None:
    """Return the question about a thermometer that was out in this session and has a finding of its own."""
    out = set(rows_of(assessment, dots.session)["thermometer"]) - {""}
    found = [
        finding
        for number in out
        for finding in assessment.findings.thermometers.get(number, ())
        if finding.state in ("clear", "worth a look")
        and finding.kind in ("thermometer_offset", "scale_plate_slipped")
    ]
    if not found:
        return None
    first = min(found, key=lambda f: (f.kind != "thermometer_offset", -abs(f.size_c), f.subject))
    says = wording.Q_NUMBER_PLATE_SAY.format(number=first.subject)
    if first.kind == "thermometer_offset":
        way = wording.WARM if first.size_c > 0 else wording.COOL
        says = wording.Q_NUMBER_SAY.format(number=first.subject, way=way)
    return Question(
        "number",
        wording.Q_NUMBER.format(number=first.subject),
        (says,),
        wording.Q_NUMBER_WHY.format(number=first.subject),
        number=first.subject,
        scales=first.kind != "thermometer_offset",
    )
