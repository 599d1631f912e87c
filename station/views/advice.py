"""What to do first: the few things that help most, most urgent first, none of them about a team."""

from __future__ import annotations

import math
from collections.abc import Iterator

import pandas as pd

from station.assess import Assessment
from station.record.model import Session
from station.views import phrases, wording

MOST = 6
#: More than this share of a session on one side, and at least so many readings, is no matter of readers.
TOGETHER_SHARE, TOGETHER_LEAST = 0.7, 4
NAMED_DAYS = 3


def what_to_do(assessment: Assessment) -> list[str]:
    """Return sentences, at most ``MOST`` and a word on how many more there are."""
    found = [*_probe(assessment), *_cards(assessment), *_box(assessment), *_problems(assessment)]
    if len(found) > MOST:
        return [*found[: MOST - 1], wording.DO_MORE.format(n=len(found) - MOST + 1)]
    return found or [wording.DO_NOTHING]


def latest(assessment: Assessment) -> Session | None:
    """Return the last session that holds a reading; None where there is none."""
    held = assessment.sessions[assessment.sessions["readings"] > 0]
    if held.empty:
        return None
    last = held.iloc[-1]
    return Session(last["date"], last["session"])


def notes_of(assessment: Assessment, session: Session) -> tuple[str, ...]:
    """Return the kinds a session is noted for."""
    rows = assessment.sessions
    mine = rows["notes"][(rows["date"] == session.date) & (rows["session"] == session.part)]
    notes: tuple[str, ...] = mine.iloc[0] if len(mine) else ()
    return notes


def off_together(rows: pd.DataFrame) -> bool:
    """Tell whether most readings of one session lie outside on one side, so that no reading stands out.

    What all share (probe, clock, place, the wrong half-day) then comes before any reader or thermometer.
    """
    judged = rows[rows["p_inside"].notna()]
    outside = judged["verdict"] == "outside"
    above = outside & (judged["error"] > 0)
    most = max(int(above.sum()), int((outside & ~above).sum()))
    return most > TOGETHER_SHARE * len(judged) and most >= TOGETHER_LEAST


def beyond_promise(table: pd.DataFrame) -> pd.Series:
    """Tell which thermometers' 95 % limits lie wholly beyond what they promise."""
    return (table["offset_low"] > table["band"]) | (table["offset_high"] < -table["band"])


def why_no_reference(notes: tuple[str, ...]) -> str:
    """Return the kind that took a session's reference away."""
    return next((kind for kind in notes if kind in wording.ACTIONS), "gap")


def _probe(assessment: Assessment) -> Iterator[str]:
    if assessment.samples.empty:
        yield wording.DO_NO_PROBE
        return
    without = assessment.sessions[assessment.sessions["reference"].isna()]
    kinds = without["notes"].map(why_no_reference)
    for kind in kinds.iloc[::-1].unique():  # the latest trouble first
        rows = without[kinds == kind]
        names = list(rows[["date", "session"]].itertuples(index=False, name=None))
        yield wording.DO_WITHOUT_REFERENCE.format(
            sessions=phrases.sessions_listed(names, NAMED_DAYS),
            kind=phrases.kind(kind),
            action=wording.ACTIONS[kind],
        ).rstrip()
    yield from _narrow(assessment)


def _narrow(assessment: Assessment) -> Iterator[str]:
    """Say where the probe can't judge the band: everywhere, or in some sessions."""
    known = assessment.readings[assessment.readings["error"].notna()]
    if known.empty:
        return
    best, band = float(known["expanded"].min()), float(known["band"].max())
    if best > band:
        yield wording.DO_BAND.format(expanded=phrases.degrees(best), band=phrases.degrees(band))
        return
    some = assessment.sessions["notes"].map(lambda kinds: "band_too_narrow" in kinds)
    if some.any():
        n = phrases.counted(int(some.sum()), wording.SESSION, wording.SESSIONS)
        yield wording.DO_BAND_SOME.format(sessions=n)


def _cards(assessment: Assessment) -> Iterator[str]:
    if assessment.readings["indication"].notna().sum() == 0:
        yield wording.DO_NO_READINGS
        return
    last = latest(assessment)
    if last is not None:
        rows = assessment.readings
        rows = rows[(rows["date"] == last.date) & (rows["session"] == last.part) & rows["indication"].notna()]
        again = int(rows["questioned"].sum())
        if again:
            yield wording.DO_CARDS.format(cards=phrases.counted(again, wording.CARD, wording.CARDS))
    if (assessment.readings["thermometer"] == "").all():
        yield wording.DO_NO_NUMBERS
    elif not assessment.separable:
        yield wording.DO_NOT_SEPARABLE


def _box(assessment: Assessment) -> Iterator[str]:
    table = assessment.thermometers
    columns = ["number", "offset", "offset_low", "offset_high", "band"]
    for number, offset, low, high, band in table[beyond_promise(table)][columns].itertuples(index=False):
        up = offset > 0
        near, far = sorted((math.fabs(low), math.fabs(high)))
        yield (wording.DO_BEYOND_HIGH if up else wording.DO_BEYOND_LOW).format(
            number=number, offset=phrases.degrees(math.fabs(offset)), span=phrases.span(near, far),
            band=phrases.degrees(band),
        )  # fmt: skip
    slipped = table[table["slipped"]]
    for number, difference in slipped[["number", "scale_difference"]].itertuples(index=False):
        yield wording.DO_SLIPPED.format(number=number, difference=phrases.degrees(difference, signed=True))


def _problems(assessment: Assessment) -> Iterator[str]:
    n = len(assessment.frames.problems)
    if n:
        yield wording.DO_PROBLEMS.format(lines=phrases.counted(n, wording.LINE, wording.LINES))
