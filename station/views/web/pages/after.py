"""After school: the class record by weeks; the class's rule proposes a value, the teacher decides."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import Response

from station.base.exceptions import BadEntry
from station.record import entry
from station.record.model import Session
from station.views import phrases
from station.views.web import say, wording
from station.views.web.desk import Desk
from station.views.web.render import back, render, text
from station.views.web.rows import rows


@dataclass(frozen=True)
class Cell:
    """One session of the record: its value as text, numbers of its footnotes, and its key."""

    value: str
    notes: str
    key: str
    decided: bool


@dataclass(frozen=True)
class Day:
    """One day of the record."""

    name: str
    cells: tuple[Cell | None, ...]


@dataclass(frozen=True)
class Week:
    """One week of the record, and what its footnotes say."""

    name: str
    days: tuple[Day, ...]
    footnotes: tuple[tuple[int, str], ...]


@dataclass(frozen=True)
class Proposal:
    """The session to be decided: what the rule gives, what stands beside it, what was decided."""

    session: str
    key: str
    sentence: str
    notes: str
    value: str
    unit: str
    decided: str


@dataclass(frozen=True)
class AfterPage:
    """The class record; nothing in it is about a team."""

    title: str
    parts: tuple[str, ...]
    unit: str
    proposal: Proposal | None
    weeks: tuple[Week, ...]


def after(desk: Desk, request: Request) -> Response:
    """Show the record, the latest week first."""
    sessions = desk.assessment().sessions
    sessions = sessions[sessions["readings"] > 0]
    decided = decisions(desk)
    unit = wording.FAHRENHEIT if desk.settings.school.class_scale == "fahrenheit" else wording.CELSIUS
    held = {Session(row["date"], row["session"]): row for row in rows(sessions)}
    missed = _missed(desk)
    chosen = _chosen(request, list(held))
    parts = tuple(part.name for part in desk.settings.sessions.parts)
    page = AfterPage(
        title=wording.AFTER_TITLE,
        parts=parts,
        unit=unit,
        proposal=_proposal(chosen, held[chosen], decided, unit) if chosen else None,
        weeks=tuple(_weeks(held, missed, decided, parts)),
    )
    return render(request, "after.html", page)


def decide(desk: Desk, request: Request, form: FormData) -> Response:
    """Note the teacher's value for a session; one that differs from before keeps the old one in the edits."""
    date, _, part = text(form, "session").partition("/")
    of = Session(entry.date(date), part)
    if desk.part(part) is None:
        raise BadEntry(wording.NOT_FOUND)
    value = entry.number(text(form, "value", 20))
    reason = text(form, "reason", 200)
    table = desk.book.table("decisions")
    keys = zip(table["date"], table["session"], strict=True)
    at = [i for i, key in enumerate(keys) if key == (of.date, of.part)]
    if at:
        row = desk.book.rows_of("decisions")[at[-1]]
        desk.book.edit_row("decisions", row, "class_value", value, "teacher", reason)
        desk.book.edit_row("decisions", row, "reason", reason, "teacher", wording.AFTER_TITLE)
    else:
        cells = {"date": of.date, "session": of.part, "class_value": value, "reason": reason}
        desk.book.add_row("decisions", cells, "teacher")
    return back(f"/after?session={say.key(of)}")


def decisions(desk: Desk) -> dict[Session, tuple[float, str]]:
    """Return what the teacher decided, with the reason; the last decision of a session counts."""
    table = desk.book.table("decisions")
    columns = ["date", "session", "class_value", "reason"]
    return {
        Session(date, part): (value, reason)
        for date, part, value, reason in table[columns].itertuples(index=False)
        if not math.isnan(value)
    }


def _missed(desk: Desk) -> dict[Session, str]:
    table = desk.book.table("sessions")
    missed = table[table["held"].str.casefold() == "no"]
    columns = ["date", "session", "reason"]
    return {Session(d, p): reason for d, p, reason in missed[columns].itertuples(index=False)}


def _chosen(request: Request, known: list[Session]) -> Session | None:
    date, _, part = request.query_params.get("session", "").partition("/")
    try:
        asked = Session(entry.date(date), part)
    except BadEntry:
        return known[-1] if known else None
    return asked if asked in known else (known[-1] if known else None)


def _proposal(
    of: Session, row: Mapping[str, Any], decided: Mapping[Session, tuple[float, str]], unit: str
) -> Proposal:
    value, median = row["class_value"], row["median"]
    middle = with_unit(median, unit)
    if math.isnan(value):
        sentence = wording.AFTER_NO_PROPOSAL.format(n=row["readings"], median=middle)
    else:
        sentence = wording.AFTER_PROPOSAL.format(
            value=with_unit(value, unit), rule=row["class_rule"], n=row["readings"], median=middle
        )
    known = decided.get(of)
    said = ""
    if known is not None:
        said = wording.AFTER_DECIDED.format(value=with_unit(known[0], unit))
        said += wording.AFTER_DECIDED_REASON.format(reason=known[1]) if known[1] else ""
    shown = known[0] if known is not None else value
    notes = phrases.listed([phrases.kind(kind) for kind in row["notes"]])
    return Proposal(
        session=say.session(of),
        key=say.key(of),
        sentence=sentence,
        notes=wording.AFTER_NOTED.format(notes=notes) if notes else "",
        value="" if math.isnan(shown) else f"{shown:g}",
        unit=unit,
        decided=said,
    )


def with_unit(value: float, unit: str) -> str:
    """Return a class value with its unit, to a tenth only where it has one."""
    if math.isnan(value):
        return phrases.number(value)
    digits = 0 if math.isclose(value, round(value), abs_tol=1e-6) else 1
    return f"{phrases.number(value, digits)}{phrases.NARROW}{unit}"


def _weeks(
    held: Mapping[Session, Mapping[str, Any]],
    missed: Mapping[Session, str],
    decided: Mapping[Session, tuple[float, str]],
    parts: tuple[str, ...],
) -> list[Week]:
    dates = sorted({s.date for s in (*held, *missed)})
    mondays = sorted({date - dt.timedelta(days=date.weekday()) for date in dates}, reverse=True)
    weeks = []
    for monday in mondays:
        numbers: dict[str, int] = {}
        days = []
        for date in (d for d in dates if 0 <= (d - monday).days < 7):
            cells = tuple(_cell(Session(date, part), held, missed, decided, numbers) for part in parts)
            days.append(Day(phrases.day(date, weekday=True), cells))
        footnotes = tuple((number, text) for text, number in numbers.items())
        weeks.append(Week(wording.AFTER_WEEK.format(day=phrases.day(monday)), tuple(days), footnotes))
    return weeks


def _cell(
    of: Session,
    held: Mapping[Session, Mapping[str, Any]],
    missed: Mapping[Session, str],
    decided: Mapping[Session, tuple[float, str]],
    numbers: dict[str, int],
) -> Cell | None:
    if of not in held:
        if of not in missed:
            return None
        note = wording.AFTER_MISSED.format(reason=missed[of])
        return Cell(phrases.number(None), str(numbers.setdefault(note, len(numbers) + 1)), "", decided=False)
    row = held[of]
    value = decided[of][0] if of in decided else row["class_value"]
    notes = [phrases.kind(kind) for kind in row["notes"]]
    if of in decided and decided[of][1]:
        notes.append(wording.AFTER_BY_TEACHER.format(reason=decided[of][1]))
    marks = sorted(numbers.setdefault(note, len(numbers) + 1) for note in notes)
    digits = 0 if math.isnan(value) or math.isclose(value, round(value), abs_tol=1e-6) else 1
    marked = ", ".join(str(mark) for mark in marks)
    return Cell(phrases.number(value, digits), marked, say.key(of), decided=of in decided)
