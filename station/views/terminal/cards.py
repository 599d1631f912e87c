"""What the cards say: the latest session reading by reading, and the sessions."""

from __future__ import annotations

import math

from station.assess import Assessment
from station.record.model import Session
from station.views import advice, causes, phrases, wording
from station.views.layout import heading, table, wrapped

SESSIONS_SHOWN = 12


def latest(assessment: Assessment, width: int) -> list[str]:
    """Return every reading of the latest session."""
    last = advice.latest(assessment)
    if last is None:
        return []
    rows = assessment.readings
    rows = rows[(rows["date"] == last.date) & (rows["session"] == last.part)]
    rows = rows.sort_values("team", kind="stable")
    rows = rows.assign(looked_at=rows["questioned"] & rows["indication"].notna())
    lines = heading(wording.LATEST.format(session=phrases.session_name(last.date, last.part)))
    lines += wrapped(_latest_reference(assessment, last), width)
    if advice.off_together(rows):
        lines += wrapped(wording.OFF_TOGETHER, width)
    columns = [
        "team", "thermometer", "celsius", "fahrenheit", "celsius_written", "fahrenheit_written", "error",
        "two_scale_difference", "looked_at", "verdict", "p_inside",
    ]  # fmt: skip
    notes = advice.notes_of(assessment, last)
    likely = causes.causes(assessment, without=notes)
    if {*notes} & {"wrong_half_day", "whole_class"}:  # the session is asked about, not its cards
        rows = rows.assign(verdict=None)
    cells = [
        (
            team, number or wording.NOTHING, _value(c, c_cell), _value(f, f_cell),
            phrases.number(error, signed=True), phrases.number(r, signed=True) + (" ?" if doubt else "  "),
            "; ".join(filter(None, (_verdict(verdict, p), likely.get(row, "")))),
        )
        for row, team, number, c, f, c_cell, f_cell, error, r, doubt, verdict, p in (
            rows[columns].itertuples(name=None)
        )
    ]  # fmt: skip
    return [
        *lines,
        "",
        *table(wording.LATEST_COLUMNS, cells, words=(0, 6), width=width),
        *wrapped(wording.LATEST_NOTE, width),
    ]


def _latest_reference(assessment: Assessment, session: Session) -> str:
    """Return the reference in words, with what the session is noted for."""
    notes = advice.notes_of(assessment, session)
    reference = assessment.budgets.get(session)
    if reference is None:
        why = (
            wording.PROBE_NO_RECORD_SHORT
            if assessment.samples.empty
            else phrases.kind(advice.why_no_reference(notes))
        )
        return wording.LATEST_NO_REFERENCE.format(kinds=why)
    sentence = wording.LATEST_REFERENCE.format(
        value=phrases.degrees(reference.value_c), expanded=phrases.degrees(reference.expanded_c)
    )
    if notes:
        sentence += " " + wording.LATEST_NOTED.format(kinds="; ".join(map(phrases.kind, notes)))
    return sentence


def _value(value: float, cell: str) -> str:
    """Return a value as a person wrote it, without needless zeros; else the word that stands there."""
    if math.isnan(value):
        return cell if 0 < len(cell) <= 8 else wording.NOTHING
    return phrases.number(value, 0 if value == round(value) else 1)


def _verdict(verdict: str | None, p: float) -> str:
    """Return inside, outside or can't tell in words with how sure that is; never as sure as 100 %."""
    if not isinstance(verdict, str):
        return wording.NOT_JUDGED
    words = wording.VERDICTS[verdict]
    if math.isnan(p):
        return words
    sure = 1.0 - p if verdict == "outside" else p
    if sure > 0.995:
        return wording.SURE_ABOVE.format(verdict=words)
    template = wording.CHANCE if verdict == "undecided" else wording.SURE
    return template.format(verdict=words, percent=round(100.0 * sure))


def sessions(assessment: Assessment, width: int) -> list[str]:
    """Return the latest sessions: reference, class value, and what each is noted for."""
    rows = assessment.sessions
    if rows.empty:
        return []
    lines = heading(wording.SESSIONS_TITLE)
    shown = rows.tail(SESSIONS_SHOWN)
    cells = []
    for row in shown.to_dict("records"):
        reference = assessment.budgets.get(Session(row["date"], row["session"]))
        expanded = None if reference is None else reference.expanded_c
        values = [row["reference"], expanded]
        middles = [row["median"], row["mean"]]
        cells.append(
            (
                phrases.day(row["date"], weekday=True),
                row["session"],
                str(row["readings"]),
                *map(phrases.number, values),
                _class_value(row["class_value"], row["class_value_fahrenheit"]),
                *map(phrases.number, middles),
                ", ".join(wording.SHORT.get(kind, kind) for kind in row["notes"]),
            )
        )
    school = assessment.settings.school
    unit = "°F" if school.class_scale == "fahrenheit" else "°C"
    lines += table(wording.SESSIONS_COLUMNS, cells, words=(0, 1, 8), width=width)
    note = wording.SESSIONS_NOTE.format(unit=unit, rule=school.class_rule)
    narrow = int(rows["notes"].map(lambda kinds: "band_too_narrow" in kinds).sum())
    if narrow:
        n = phrases.counted(narrow, wording.SESSION, wording.SESSIONS)
        note += " " + wording.SESSIONS_NARROW.format(sessions=n)
    if len(rows) > len(shown):
        note += " " + wording.SESSIONS_EARLIER.format(n=len(rows) - len(shown))
    return [*lines, *wrapped(note, width)]


def _class_value(*values: float | None) -> str:
    found = [_value(v, "") for v in values if v is not None and not math.isnan(v)]
    return " / ".join(found) or wording.NO_CLASS_VALUE
