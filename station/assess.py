"""The flow on one page: frames + settings -> Assessment. Pure; every view takes an Assessment.

Order: confirmed clock, flags and faults of the probe, reference at each reading, error, band and verdict,
team and thermometer effects, class value.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from station.base.time import to_utc
from station.base.uncertainty import p_inside
from station.comparison.band import Band, band_for
from station.comparison.class_value import ClassValue, most_common
from station.comparison.effects import Limits
from station.comparison.error import indication, scale_differences, two_scale_difference, two_scale_limit
from station.comparison.segments import split
from station.comparison.summary import Effects, by_number, summarise
from station.comparison.verdict import verdict
from station.findings.look import Findings, Question, look
from station.record.columns import Frames
from station.record.model import Session, SessionPart, Thermometer
from station.reference.correction import corrected_c, shift_clock
from station.reference.faults import ProbeRecord, examine
from station.reference.value import NOTED_TIME_HALF_WIDTH_MIN, Doubt, ProbeSeries, Reference, shared_lines
from station.settings import Settings

#: What a step of the record (fell, touched metal, got wet) may have added to it [degC]: its size is not
#: known, and steps are found from about two degrees on.
STEP_U_C = 1.0

Progress = Callable[[str, float], None]


@dataclass(frozen=True)
class Assessment:
    """Everything the cross-check found.

    Attributes
    ----------
    readings : DataFrame
        One row an entry, in the order of the file: ``date, session, team, thermometer, celsius,
        fahrenheit, indication, scale_used, reference, u_reference, error, band, band_key, limit, p_inside,
        verdict, two_scale_difference, two_scale_limit, offset`` (the thermometer's, NaN where not known),
        ``error_without_offset``, ``slip`` (set aside in the fit), ``questioned`` (by form or by the two
        scales), ``line``.
    teams, segments, thermometers : DataFrame
        As in ``Effects``; thermometers also ``scale_difference, slipped, band, band_key``.
    sessions : DataFrame
        In order of time: ``date, session, readings, start`` and ``end`` (UTC), ``reference, u_reference,
        class_value, class_value_fahrenheit, class_scale, class_rule, median, mean, notes`` (tuple of kinds).
    budgets : mapping of Session to Reference
        The reference of each session that has one, with its budget.
    common : Limits
        What all share against the probe [degC].
    probe : ProbeRecord
        Samples, flags, faults.
    findings : Findings
        Causes of readings, habits of teams, thermometers, moved cards, the clock; see ``findings.look``.
    """

    settings: Settings
    frames: Frames
    readings: pd.DataFrame
    teams: pd.DataFrame
    segments: pd.DataFrame
    thermometers: pd.DataFrame
    sessions: pd.DataFrame
    budgets: Mapping[Session, Reference]
    common: Limits
    separable: bool
    probe: ProbeRecord
    samples: pd.DataFrame
    findings: Findings


def cross_check(frames: Frames, settings: Settings, progress: Progress | None = None) -> Assessment:
    """Run the whole comparison.

    Parameters
    ----------
    frames : Frames
        What was measured and written.
    settings : Settings
        The place, the plan, the probe, the box.
    progress : callable, optional
        Told the step's name and the share done.

    Returns
    -------
    Assessment
    """
    tell = progress or (lambda _step, _share: None)
    tell("reading the probe's record", 0.1)
    site, probe = settings.site, settings.probe()
    samples = shift_clock(frames.probe, settings.clock, site.zone)
    record = examine(samples, site.zone, settings.school, settings.sessions)
    usable = samples[record.usable]
    series = ProbeSeries.of(usable, corrected_c(usable, probe), probe)

    tell("setting the reference", 0.4)
    doubts = [Doubt(f.kind, f.start, f.end, STEP_U_C) for f in record.faults if f.kind == "step"]
    readings = frames.readings.reset_index(drop=True)
    spans = _session_spans(readings, frames, settings)
    references = {s: series.reference(start, minutes, doubts=doubts) for s, (start, minutes) in spans.items()}
    readings = _errors(readings, references, series, doubts)
    readings["two_scale_difference"] = two_scale_difference(readings["celsius"], readings["fahrenheit"])
    limits = {n: two_scale_limit(settings.thermometer(n)) for n in readings["thermometer"].unique()}
    readings["two_scale_limit"] = readings["thermometer"].map(limits).astype(np.float64)
    readings = _bands(readings, settings)

    tell("comparing teams and thermometers", 0.7)
    effects = _effects(readings, frames, settings)
    thermometers = _thermometers(effects, readings, settings)
    readings = _questioned(readings, thermometers)
    readings["offset"] = effects.offset
    readings["error_without_offset"] = readings["error"] - effects.offset
    readings["slip"] = effects.slip
    readings["rest"] = effects.rest
    sessions = _sessions(readings, spans, references, record, settings)
    tell("looking for causes", 0.8)
    findings = look(_question(readings, effects, thermometers, sessions, series, frames, settings))
    tell("done", 1.0)
    return Assessment(
        settings=settings,
        frames=frames,
        readings=readings,
        teams=effects.teams,
        segments=effects.segments,
        thermometers=thermometers,
        sessions=sessions,
        budgets={s: r for s, r in references.items() if r is not None},
        common=effects.common,
        separable=effects.separable,
        probe=record,
        samples=samples,
        findings=findings,
    )


def _question(
    readings: pd.DataFrame,
    effects: Effects,
    thermometers: pd.DataFrame,
    sessions: pd.DataFrame,
    series: ProbeSeries,
    frames: Frames,
    settings: Settings,
) -> Question:
    """Gather what the findings need."""
    parts = {part.name: part for part in settings.sessions.parts}
    known = sessions[sessions["reference"].notna()]

    def record_at(date: dt.date, part: str, minutes: float) -> float:
        start = to_utc(date, parts[part].start, settings.site.zone) + dt.timedelta(minutes=minutes)
        found = series.reference(start, parts[part].minutes)
        return math.nan if found is None else found.value_c

    return Question(
        readings=readings,
        teams=effects.teams,
        segments=effects.segments,
        thermometers=thermometers,
        coaching=frames.table("coaching"),
        describe=settings.thermometer,
        parts=tuple(parts),
        references={
            (date, part): (value, u)
            for date, part, value, u in zip(
                known["date"], known["session"], known["reference"], known["u_reference"], strict=True
            )
        },
        record_at=record_at,
        indoor_c=settings.sessions.indoor_c,
        carried=settings.sessions.thermometers == "carried",
        shared_u_c=math.hypot(*(line.contribution for line in shared_lines(settings.probe()))),
    )


def _session_spans(
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


def _errors(
    readings: pd.DataFrame,
    references: Mapping[Session, Reference | None],
    series: ProbeSeries,
    doubts: Sequence[Doubt],
) -> pd.DataFrame:
    """Add indication, reference and error."""
    out = pd.concat([readings, indication(readings["celsius"], readings["fahrenheit"])], axis=1)
    half = NOTED_TIME_HALF_WIDTH_MIN
    found: list[Reference | None] = []
    for date, part, time in readings[["date", "session", "time"]].itertuples(index=False):
        if pd.isna(time):
            found.append(references[Session(date, part)])
        else:
            start = time.to_pydatetime() - dt.timedelta(minutes=half)
            found.append(series.reference(start, 2.0 * half, own_time=True, doubts=doubts))
    out["reference"] = [math.nan if r is None else r.value_c for r in found]
    out["u_reference"] = [math.nan if r is None else r.u_c for r in found]
    out["expanded"] = [math.nan if r is None else r.expanded_c for r in found]
    out["doubted"] = [r is not None and bool(r.doubts) for r in found]
    out["error"] = out["indication"] - out["reference"]
    return out


def _bands(readings: pd.DataFrame, settings: Settings) -> pd.DataFrame:
    """Add the accuracy band of each reading's thermometer, the conformance probability and the verdict."""
    out = readings
    bands = [
        _band(settings.thermometer(number), value)
        for number, value in out[["thermometer", "indication"]].itertuples(index=False)
    ]
    marks = [
        t.fahrenheit_division / 1.8 if scale == "fahrenheit" else t.celsius_division
        for t, scale in zip(map(settings.thermometer, out["thermometer"]), out["scale_used"], strict=True)
    ]
    out["band"] = [math.nan if b is None else b.half_width_c for b in bands]
    out["band_key"] = ["" if b is None else b.key for b in bands]
    out["limit"] = out["band"] + np.array(marks, dtype=np.float64) / 2.0
    judged = (out["expanded"] <= out["band"]) & ~out["doubted"]
    p = p_inside(out["error"], out["u_reference"], -out["limit"], out["limit"])
    out["p_inside"] = np.where(judged, p, math.nan)
    none = out["reference"].isna() & out["indication"].notna()
    out["verdict"] = ["no reference" if n else verdict(q) for n, q in zip(none, out["p_inside"], strict=True)]
    return out


def _band(thermometer: Thermometer, value: float) -> Band | None:
    return None if math.isnan(value) else band_for(thermometer, value)


def _effects(readings: pd.DataFrame, frames: Frames, settings: Settings) -> Effects:
    """Fit teams, thermometers and sessions together."""
    session, _ = pd.factorize(pd.MultiIndex.from_frame(readings[["date", "session"]]))
    trusted = readings["error"].notna() & ~readings["doubted"]
    shared = math.hypot(*(line.contribution for line in shared_lines(settings.probe())))
    return summarise(
        readings["error"].to_numpy(np.float64),
        readings["indication"].to_numpy(np.float64),
        session.astype(np.int64),
        split(readings, frames.table("coaching"), frames.table("pairs")),
        readings["thermometer"],
        trusted=trusted.to_numpy(),
        shared_u_c=shared,
        checked=_checked(frames.table("checks")),
    )


def _checked(checks: pd.DataFrame) -> pd.Series:
    """Return each thermometer's offset in the box check [degC]: median of reading - reference, degC rows."""
    rows = checks[(checks["scale"] != "fahrenheit") & checks["reference"].notna() & checks["reading"].notna()]
    return (rows["reading"] - rows["reference"]).groupby(rows["thermometer"]).median()


def _thermometers(effects: Effects, readings: pd.DataFrame, settings: Settings) -> pd.DataFrame:
    """Add what the two plates say and the band to the offsets; every number of the recording has a row."""
    plates = scale_differences(readings["thermometer"], readings["two_scale_difference"])
    numbers = sorted({*effects.thermometers["number"], *plates.index, *settings.exceptions}, key=by_number)
    out = effects.thermometers.set_index("number").reindex(numbers)
    out["readings"] = out["readings"].fillna(0).astype(np.int64)
    out["separable"] = out["separable"].fillna(False).astype(bool)
    out["scale_difference"] = plates["scale_difference"].reindex(numbers)
    out["slipped"] = plates["slipped"].reindex(numbers).fillna(False).astype(bool)
    middle = readings["indication"].median() if readings["indication"].notna().any() else 10.0
    bands = [_band(settings.thermometer(n), float(middle)) for n in numbers]
    out["band"] = [math.nan if b is None else b.half_width_c for b in bands]
    out["band_key"] = ["" if b is None else b.key for b in bands]
    return out.rename_axis("number").reset_index()


def _questioned(readings: pd.DataFrame, thermometers: pd.DataFrame) -> pd.DataFrame:
    """Mark the entries in question by form or by the two scales alone; the probe has no say."""
    slipped = thermometers[thermometers["slipped"]].set_index("number")["scale_difference"]
    plate = readings["thermometer"].map(slipped).astype(np.float64).fillna(0.0)
    apart = (readings["two_scale_difference"] - plate).abs() > readings["two_scale_limit"]
    writes = {s: readings[s].notna().any() for s in ("celsius", "fahrenheit")}
    incomplete = pd.Series(False, index=readings.index)
    for scale, written in writes.items():
        if written:
            incomplete |= readings[scale].isna()
    return readings.assign(incomplete=incomplete, questioned=apart | incomplete)


def _sessions(
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
    celsius = most_common(rows["celsius"].dropna(), settings.box.celsius_division)
    fahrenheit = most_common(rows["fahrenheit"].dropna(), settings.box.fahrenheit_division)
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
    else:
        kinds = list(reference.doubts)
        if (mine["expanded"] > mine["band"]).any():
            kinds.append("band_too_narrow")
    if value.note is not None:
        kinds.append(value.note)
    return tuple(kinds)
