"""One session as a class may see it: dots without teams, cards that wait, our number, and last the probe."""

from __future__ import annotations

import math
from dataclasses import dataclass

import pandas as pd

from station.assess import Assessment
from station.base.temperature import difference_f_from_c, value_f_from_c
from station.comparison.band import STATED, band_for
from station.record.model import Session
from station.views import advice

#: A card further than this from the middle one waits for a second look [degC]; rule of the class screen.
FAR_C = 5.0


@dataclass(frozen=True)
class Dot:
    """One card: its value, half a mark and what its thermometer promises, all in the unit of the class.

    ``counted``: it takes part in our number; a card with one scale blank is shown and not counted.
    ``promise`` is NaN where no band is known.
    """

    value: float
    half: float
    promise: float
    counted: bool


@dataclass(frozen=True)
class ProbeMark:
    """The reference of the session with its expanded uncertainty, and which doubts touch it."""

    value: float
    expanded: float
    doubts: tuple[str, ...]


@dataclass(frozen=True)
class ClassDots:
    """What the class screen shows of one session, in the unit of the class's scale ("C" or "F").

    ``dots`` and ``waiting`` are in order of value, so their order tells nothing about who made them;
    ``blank`` counts cards without a number in this scale. ``ours`` is the most common value by the class's
    rule, on ``ours_on`` of ``counted`` cards; ``middle`` their median; ``note`` why there is no value.
    ``band_basis`` says where the promise comes from, empty for the teacher's own statement.
    """

    session: Session
    letter: str
    mark: float
    dots: tuple[Dot, ...]
    waiting: tuple[Dot, ...]
    blank: int
    ours: float | None
    ours_on: int
    counted: int
    middle: float | None
    note: str
    promise: float
    band_basis: str
    probe: ProbeMark | None
    why_no_probe: tuple[str, ...]

    @property
    def unit(self) -> str:
        """Return the unit as written."""
        return f"°{self.letter}"


def rows_of(assessment: Assessment, session: Session) -> pd.DataFrame:
    """Return the readings of one session."""
    rows = assessment.readings
    return rows[(rows["date"] == session.date) & (rows["session"] == session.part)]


def class_dots(
    assessment: Assessment, session: Session, *, add_waiting: bool = False, with_probe: bool = False
) -> ClassDots:
    """Return what the class screen shows of a session.

    Parameters
    ----------
    assessment : Assessment
        The comparison; whatever must stay unseen was taken out before it was made.
    session : Session
        Which one.
    add_waiting : bool
        The teacher added the cards that wait.
    with_probe : bool
        The step of the probe has come; without it nothing of the probe is even looked up.
    """
    school, box = assessment.settings.school, assessment.settings.box
    fahrenheit = school.class_scale == "fahrenheit"
    mark = box.fahrenheit_division if fahrenheit else box.celsius_division
    rows = rows_of(assessment, session)
    written = rows["fahrenheit" if fahrenheit else "celsius"]
    blank = int((written.isna() & rows["indication"].notna()).sum())
    rows, written = rows[written.notna()], written.dropna()
    middle = float(written.median()) if len(written) else math.nan
    far = float(difference_f_from_c(FAR_C)) if fahrenheit else FAR_C
    wait = (rows["questioned"] & rows["two_scale_difference"].notna()) | ((written - middle).abs() > far)
    promises = (
        difference_f_from_c(rows["band"].to_numpy(float)) if fahrenheit else rows["band"].to_numpy(float)
    )
    every = sorted(
        (
            (Dot(float(value), mark / 2.0, float(promise), not asked), bool(waits))
            for value, promise, asked, waits in zip(written, promises, rows["questioned"], wait, strict=True)
        ),
        key=lambda pair: (pair[0].value, not pair[0].counted),
    )
    shown = tuple(dot for dot, waits in every if add_waiting or not waits)
    summary = assessment.sessions
    summary = summary[(summary["date"] == session.date) & (summary["session"] == session.part)]
    ours = _known(summary["class_value"].iloc[0]) if len(summary) else None
    counted = written[~rows["questioned"]]
    band = band_for(box, middle if not fahrenheit else (middle - 32.0) / 1.8) if len(written) else None
    promise = math.nan if band is None else band.half_width_c
    notes = advice.notes_of(assessment, session)
    return ClassDots(
        session=session,
        letter="F" if fahrenheit else "C",
        mark=mark,
        dots=shown,
        waiting=() if add_waiting else tuple(dot for dot, waits in every if waits),
        blank=blank,
        ours=ours,
        ours_on=0 if ours is None else int((counted == ours).sum()),
        counted=len(counted),
        middle=_known(summary["median"].iloc[0]) if len(summary) else None,
        note=next((kind for kind in notes if kind in ("few_readings", "no_agreement")), ""),
        promise=float(difference_f_from_c(promise)) if fahrenheit else promise,
        band_basis="" if band is None or band.key == STATED else band.basis,
        probe=_probe(assessment, session, fahrenheit) if with_probe else None,
        why_no_probe=tuple(k for k in notes if k not in ("few_readings", "no_agreement"))
        if with_probe
        else (),
    )


def _known(value: object) -> float | None:
    return None if value is None or pd.isna(value) else float(value)  # type: ignore[call-overload, arg-type]


def _probe(assessment: Assessment, session: Session, fahrenheit: bool) -> ProbeMark | None:
    reference = assessment.budgets.get(session)
    if reference is None:
        return None
    value, expanded = reference.value_c, reference.expanded_c
    if fahrenheit:
        value, expanded = float(value_f_from_c(value)), float(difference_f_from_c(expanded))
    found = assessment.findings.notes.get((session.date, session.part), ())
    return ProbeMark(value, expanded, tuple(dict.fromkeys((*reference.doubts, *found))))
