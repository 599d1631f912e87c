"""What to do first: the few things that matter most, the most urgent first, teams last."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

import pandas as pd

from station.assess import Assessment
from station.record.model import Session
from station.views import batches, phrases, suggest, wording
from station.views import wording_findings as words

MOST = 8
#: More than this share of a session on one side, and at least so many readings, is no matter of readers.
TOGETHER_SHARE, TOGETHER_LEAST = 0.7, 4
NAMED_DAYS = 3
#: A trouble of the probe older than this is past and needs doing nothing now [days].
LATELY = dt.timedelta(days=7)
#: What puts a session as a whole in doubt.
DOUBTS = {"sun", "step", "clock_shift", "whole_class", "wrong_half_day", "wrong_date", "band_too_narrow"}


@dataclass(frozen=True)
class Advice:
    """One thing to do: a sentence, what stands below it, and lines to copy as they are."""

    sentence: str
    details: tuple[str, ...] = ()
    lines: tuple[str, ...] = ()


def what_to_do(assessment: Assessment) -> list[Advice]:
    """Return at most ``MOST`` things and a word on how many more there are.

    What all share comes first (probe, clock, whole class), then batches of cards, then at most two
    suggestions about a thermometer or a team.
    """
    found = [
        *_probe(assessment), *_clock(assessment), *_shared(assessment),
        *(Advice(*told) for told in batches.told(assessment)), *_cards(assessment), *_suggestions(assessment),
        *_earlier(assessment), *_problems(assessment),
    ]  # fmt: skip
    if len(found) > MOST:
        return [*found[: MOST - 1], Advice(wording.DO_MORE.format(n=len(found) - MOST + 1))]
    return found or [Advice(wording.DO_NOTHING)]


def latest(assessment: Assessment) -> Session | None:
    """Return the last session that holds a reading; None where there is none."""
    held = assessment.sessions[assessment.sessions["readings"] > 0]
    if held.empty:
        return None
    last = held.iloc[-1]
    return Session(last["date"], last["session"])


def latest_undoubted(assessment: Assessment) -> Session | None:
    """Return the last session whose reference nothing puts in doubt, else the last with a reading."""
    rows = assessment.sessions
    doubted = rows["notes"].map(lambda kinds: bool({*kinds} & DOUBTS)).astype(bool)
    sound = rows[(rows["readings"] > 0) & rows["reference"].notna() & ~doubted]
    return latest(assessment) if sound.empty else Session(sound["date"].iloc[-1], sound["session"].iloc[-1])


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


def _probe(assessment: Assessment) -> Iterator[Advice]:
    if assessment.samples.empty:
        yield Advice(wording.DO_NO_PROBE)
        return
    without = _without_reference(assessment, lately=True)
    for kind in without["kind"].iloc[::-1].unique():  # the latest trouble first
        names = list(
            without.loc[without["kind"] == kind, ["date", "session"]].itertuples(index=False, name=None)
        )
        yield Advice(
            wording.DO_WITHOUT_REFERENCE.format(
                sessions=phrases.sessions_listed(names, NAMED_DAYS),
                kind=phrases.kind(kind),
                action=wording.ACTIONS[kind],
            )
        )
    known = assessment.readings[assessment.readings["error"].notna()]
    if not known.empty and known["expanded"].min() > known["band"].max():
        best, band = float(known["expanded"].min()), float(known["band"].max())
        yield Advice(wording.DO_BAND.format(expanded=phrases.degrees(best), band=phrases.degrees(band)))


def _without_reference(assessment: Assessment, *, lately: bool) -> pd.DataFrame:
    """Return the sessions without a reference, of the last days or of the days before, with their kind."""
    rows = assessment.sessions
    without = rows[rows["reference"].isna()]
    if without.empty:
        return without.assign(kind="")
    recent = without["date"].map(lambda day: day > rows["date"].iloc[-1] - LATELY).astype(bool)
    without = without[recent if lately else ~recent]
    return without.assign(kind=without["notes"].map(why_no_reference))


def _earlier(assessment: Assessment) -> Iterator[Advice]:
    """Say in one sentence which sessions had no reference longer ago."""
    without = _without_reference(assessment, lately=False)
    if assessment.samples.empty or without.empty:
        return
    parts = []
    for kind in without["kind"].unique():
        names = list(
            without.loc[without["kind"] == kind, ["date", "session"]].itertuples(index=False, name=None)
        )
        sessions = phrases.sessions_listed(names, NAMED_DAYS)
        parts.append(wording.DO_EARLIER_PART.format(sessions=sessions, kind=wording.SHORT[kind]))
    yield Advice(wording.DO_EARLIER.format(sessions=wording.SEMICOLON.join(parts)))


def _clock(assessment: Assessment) -> Iterator[Advice]:
    """Ask whether the clock was off, with the lines that would say so; nothing is ever shifted unasked."""
    own = words.FINDINGS["clock_shift"]
    for shift in assessment.findings.clock:
        sentence = own.seen.format(
            first=phrases.day(shift.first, weekday=True), last=phrases.day(shift.last, weekday=True),
            amount=_amount(shift.shift_minutes),
            way=words.EARLIER if shift.shift_minutes < 0 else words.LATER,
        )  # fmt: skip
        values = {"first": shift.first, "last": shift.last, "minutes": f"{shift.shift_minutes:.0f}"}
        yield Advice(
            sentence,
            (own.alike, own.do),
            tuple(line.format(**values) for line in words.CLOCK_LINES),
        )


def _amount(minutes: float) -> str:
    hours, rest = divmod(abs(round(minutes)), 60)
    if rest:
        return words.MINUTES.format(n=abs(round(minutes)))
    return words.HOUR if hours == 1 else words.HOURS.format(n=hours)


def _shared(assessment: Assessment) -> Iterator[Advice]:
    """Name what all share in a session: nearly all teams off one way, ever; the sun, in the last days."""
    rows = assessment.sessions
    if rows.empty:
        return
    lately = rows[rows["date"].map(lambda day: day > rows["date"].iloc[-1] - LATELY)]
    for kind, sentence, where in (("whole_class", words.WHOLE_CLASS, rows), ("sun", words.SUN, lately)):
        names = [
            (date, part)
            for date, part, notes in where[["date", "session", "notes"]].itertuples(index=False, name=None)
            if kind in notes
        ]
        if names:
            these = words.THIS_SESSION if len(names) == 1 else words.THESE_SESSIONS
            sessions = phrases.sessions_listed(names[-NAMED_DAYS:], NAMED_DAYS)
            yield Advice(sentence.format(sessions=sessions, these=these))


def _cards(assessment: Assessment) -> Iterator[Advice]:
    if assessment.readings["indication"].notna().sum() == 0:
        yield Advice(wording.DO_NO_READINGS)
        return
    last = latest(assessment)
    if last is not None:
        rows = assessment.readings
        rows = rows[(rows["date"] == last.date) & (rows["session"] == last.part) & rows["indication"].notna()]
        again = int(rows["questioned"].sum())
        if again:
            cards = phrases.counted(again, wording.CARD, wording.CARDS)
            yield Advice(wording.DO_CARDS.format(cards=cards))
    if assessment.findings.sharing is not None:
        own = words.FINDINGS["same_numbers"]
        yield Advice(own.seen, (own.alike, words.DO.format(do=own.do), words.SAY.format(say=own.say)))
    if (assessment.readings["thermometer"] == "").all():
        yield Advice(wording.DO_NO_NUMBERS)
    elif not assessment.separable:
        yield Advice(wording.DO_NOT_SEPARABLE)


def _suggestions(assessment: Assessment) -> Iterator[Advice]:
    told = suggest.suggestions(assessment)
    more = suggest.waiting(assessment)
    for one in told:
        rest = (words.REST_WAIT.format(n=more),) if more and one is told[-1] else ()
        yield Advice(one.sentence, (*one.details, *rest))


def _problems(assessment: Assessment) -> Iterator[Advice]:
    n = len(assessment.frames.problems)
    if n:
        yield Advice(wording.DO_PROBLEMS.format(lines=phrases.counted(n, wording.LINE, wording.LINES)))
