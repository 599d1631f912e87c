"""One row a session: reference, class value by the class's rule, notes."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping

import pandas as pd

from station.base.time import to_utc
from station.comparison.class_value import ClassValue, by_rule
from station.record.columns import Frames
from station.record.model import Session, SessionPart
from station.reference.faults import ProbeRecord
from station.reference.value import Reference
from station.settings import Settings


def session_spans(
    readings: pd.DataFrame, frames: Frames, settings: Settings
) -> dict[Session, tuple[dt.datetime, float]]:
    """Return the UTC start and length [min] of every session with entries or a note, in order of time."""
    parts: dict[str, SessionPart] = {p.name: p for p in settings.sessions.parts}
    named = pd.concat([readings[["date", "session"]], frames.table("sessions")[["date", "session"]]])
    found = {Session(d, p) for d, p in named.itertuples(index=False)}
    spans = {
        s: (to_utc(s.date, parts[s.part].start, settings.site.zone), parts[s.part].minutes) for s in found
    }
    return dict(sorted(spans.items(), key=lambda item: item[1][0]))


def summarise_sessions(
    readings: pd.DataFrame,
    spans: Mapping[Session, tuple[dt.datetime, float]],
    references: Mapping[Session, Reference | None],
    record: ProbeRecord,
    settings: Settings,
) -> pd.DataFrame:
    """Return one row a session: reference, class value by the class's rule, notes."""
    keys = [Session(d, p) for d, p in readings[["date", "session"]].itertuples(index=False)]
    groups = dict(list(readings.groupby(pd.Series(keys, index=readings.index, dtype=object), sort=False)))
    rows = []
    for session, (start, minutes) in spans.items():
        mine = groups.get(session, readings.iloc[:0])
        end = start + dt.timedelta(minutes=minutes)
        reference = references[session]
        value, other = _class_values(mine, settings)
        rows.append(
            {
                "date": session.date,
                "session": session.part,
                "readings": int(mine["indication"].notna().sum()),
                "start": start,
                "end": end,
                "reference": math.nan if reference is None else reference.value_c,
                "u_reference": math.nan if reference is None else reference.u_c,
                "class_value": value.value,
                "class_value_fahrenheit": None if other is None else other.value,
                "class_scale": settings.school.class_scale,
                "class_rule": settings.school.class_rule,
                "median": value.median,
                "mean": value.mean,
                "notes": _notes(mine, reference, value, record, start, end),
            }
        )
    columns = [
        "date", "session", "readings", "start", "end", "reference", "u_reference", "class_value",
        "class_value_fahrenheit", "class_scale", "class_rule", "median", "mean", "notes",
    ]  # fmt: skip
    return pd.DataFrame(rows, columns=columns)


def _class_values(mine: pd.DataFrame, settings: Settings) -> tuple[ClassValue, ClassValue | None]:
    """Return the class value in the class's scale, and in Fahrenheit beside Celsius where it keeps both."""
    rows = mine[~mine["questioned"]]
    rule, box = settings.school.class_rule, settings.box
    celsius = by_rule(rows["celsius"].dropna(), rule, box.celsius_division)
    fahrenheit = by_rule(rows["fahrenheit"].dropna(), rule, box.fahrenheit_division)
    if settings.school.class_scale == "fahrenheit":
        return fahrenheit, None
    return celsius, fahrenheit if settings.school.class_scale == "both" else None


def _notes(
    mine: pd.DataFrame,
    reference: Reference | None,
    value: ClassValue,
    record: ProbeRecord,
    start: dt.datetime,
    end: dt.datetime,
) -> tuple[str, ...]:
    """Return the kinds noted beside a session."""
    kinds = []
    if reference is None:
        kinds = list(
            dict.fromkeys(f.kind for f in (*record.faults, *record.away) if f.start < end and f.end > start)
        )
        if record.logged_too_seldom:
            kinds.append("logged_too_seldom")
        elif not kinds and record.usable.size:  # before the record began, or after it ended
            kinds.append("gap")
    else:
        kinds = list(reference.doubts)
        if (~mine["doubted"] & (mine["expanded"] > mine["band"])).any():
            kinds.append("band_too_narrow")
    if value.note is not None:
        kinds.append(value.note)
    return tuple(kinds)
