"""The flow on one page: frames + settings -> Assessment. Pure; every view takes an Assessment.

Order: confirmed clock, flags and faults of the probe, reference at each reading, error, band and verdict,
team and thermometer effects, class value.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TypedDict

import pandas as pd

from station.assess import place
from station.assess.crossed import describe_thermometers, fit_effects
from station.assess.question import gather
from station.assess.readings import bands, errors, questioned, two_scales, unjudged
from station.assess.refused import refused_values, with_refused
from station.assess.sessions import session_spans, summarise_sessions
from station.base.time import to_utc
from station.comparison.effects import Limits
from station.findings.clock import Shift
from station.findings.look import Findings, look
from station.place.places import Places
from station.place.survey import Survey
from station.record.columns import Frames
from station.record.model import Fault, Session
from station.reference.correction import corrected_c, shift_clock
from station.reference.faults import ProbeRecord, examine
from station.reference.value import LONGEST_GAP_S, Doubt, ProbeSeries, Reference
from station.settings import Settings

#: What a step of the record (fell, touched metal, got wet) may have added to it [degC]: its size is not
#: known, and steps are found from about two degrees on.
STEP_U_C = 1.0

#: Standard uncertainty that a clock wrong by an hour adds to a reference [degC]: air in school hours changes
#: by about a degree in an hour (common practice; 0.7 to 1.5 in the invented classes).
CLOCK_U_C = 1.0

Progress = Callable[[str, float], None]


class Mistake(TypedDict):
    """One probable cause of a reading, as the findings name it."""

    kind: str
    group: str
    probability: float


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
        scales), ``mistakes`` (tuple of Mistake, most probable first), ``line``.
    teams, segments, thermometers : DataFrame
        As in ``Effects``; teams and thermometers also ``finding`` (the state), thermometers also
        ``scale_difference, slipped, band, band_key``.
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
    probe = _examined(frames, settings)
    tell("comparing teams and thermometers", 0.4)
    found = _compared(frames, settings, probe)
    doubts = [*probe.doubts, *_clock_doubts(found.findings.clock, settings)]
    if settings.site.latitude is not None and settings.site.longitude is not None and len(probe.samples):
        tell("looking for the sun", 0.6)
        doubts = _with_sun(doubts, place.survey(frames, settings, found.findings.clock, 0).place)
    if tuple(doubts) != probe.doubts:
        # a doubted value stays, with a larger doubt: no verdicts, and nobody is named by it
        tell("looking again, doubted sessions set apart", 0.8)
        probe = replace(probe, record=_told(probe.record, doubts, found.sessions), doubts=tuple(doubts))
        found = _compared(frames, settings, probe)
    tell("done", 1.0)
    return found


def survey(frames: Frames, settings: Settings, weeks: int) -> Places:
    """Survey the place of every probe, days with a suspected clock left out.

    Parameters
    ----------
    frames, settings
        As for ``cross_check``.
    weeks : int
        How far to look ahead.

    Raises
    ------
    UnusableInput
        No latitude or longitude in station.toml.
    """
    probe = _examined(frames, settings)
    suspected = _compared(frames, settings, probe).findings.clock
    return place.survey(frames, settings, suspected, weeks)


def _with_sun(doubts: list[Doubt], found: Survey) -> list[Doubt]:
    """Return the doubts with the sun's added; a step at the edge of a span of sun is the sun's."""
    sun = list(place.sun_doubts(found))
    near = dt.timedelta(seconds=LONGEST_GAP_S)
    kept = [
        d
        for d in doubts
        if d.kind != "step" or not any(s.start - near < d.end and d.start < s.end + near for s in sun)
    ]
    return kept + sun


def _told(record: ProbeRecord, doubts: list[Doubt], sessions: pd.DataFrame) -> ProbeRecord:
    """Return the record with the steps that are still doubted, and the sun where it touched a session."""
    steps = [(d.start, d.end) for d in doubts if d.kind == "step"]
    kept = [f for f in record.faults if f.kind != "step" or (f.start, f.end) in steps]
    touched = [
        Fault(d.kind, d.start, d.end)
        for d in doubts
        if d.kind == "sun" and ((sessions["start"] < d.end) & (sessions["end"] > d.start)).any()
    ]
    return replace(record, faults=tuple(sorted(kept + touched, key=lambda f: (f.start, f.kind))))


@dataclass(frozen=True)
class _Examined:
    """The probe's record on the confirmed clock, what it is worth, and its doubted spans."""

    samples: pd.DataFrame
    record: ProbeRecord
    series: ProbeSeries
    doubts: tuple[Doubt, ...]


def _examined(frames: Frames, settings: Settings) -> _Examined:
    site, probe = settings.site, settings.probe()
    samples = shift_clock(frames.probe, settings.clock, site.zone)
    refused = shift_clock(refused_values(frames.table("rejected")), settings.clock, site.zone)
    record = with_refused(
        samples, refused, lambda s: examine(s, site.zone, settings.school, settings.sessions)
    )
    usable = samples[record.usable]
    series = ProbeSeries.of(usable, corrected_c(usable, probe), probe, frames.time_doubts)
    doubts = tuple(Doubt(f.kind, f.start, f.end, STEP_U_C) for f in record.faults if f.kind == "step")
    return _Examined(samples, record, series, doubts)


def _clock_doubts(shifts: Iterable[Shift], settings: Settings) -> Iterable[Doubt]:
    """Return the spans in which the clock is suspected, whole local days."""
    zone = settings.site.zone
    for shift in shifts:
        start = to_utc(shift.first, dt.time(), zone)
        end = to_utc(shift.last + dt.timedelta(days=1), dt.time(), zone)
        yield Doubt("clock_shift", start, end, CLOCK_U_C)


def _compared(frames: Frames, settings: Settings, probe: _Examined) -> Assessment:
    series, record, doubts = probe.series, probe.record, probe.doubts
    readings = frames.readings.reset_index(drop=True)
    spans = session_spans(readings, frames, settings)
    references = {s: series.reference(start, minutes, doubts=doubts) for s, (start, minutes) in spans.items()}
    readings = errors(readings, references, series, doubts)
    readings = two_scales(readings, settings)
    readings = bands(readings, settings)

    effects = fit_effects(readings, frames, settings)
    thermometers = describe_thermometers(effects, readings, settings)
    readings = questioned(readings, thermometers, settings)
    readings["offset"] = effects.offset
    readings["error_without_offset"] = readings["error"] - effects.offset
    readings["slip"] = effects.slip
    readings["rest"] = effects.rest
    sessions = summarise_sessions(readings, spans, references, record, settings)
    findings = look(gather(readings, effects, thermometers, sessions, series, frames, settings))
    sessions["notes"] = [
        tuple(dict.fromkeys((*notes, *findings.notes.get((date, part), ()))))
        for date, part, notes in zip(sessions["date"], sessions["session"], sessions["notes"], strict=True)
    ]
    readings["mistakes"] = pd.Series(_by_row(findings, len(readings)), dtype=object)
    # a card that may belong to another session is not judged by the reference of this one
    readings = unjudged(readings, [row for match in findings.moves for row in match.rows])
    return Assessment(
        settings=settings,
        frames=frames,
        readings=readings,
        teams=effects.teams.assign(finding=effects.teams["team"].map(findings.team_states)),
        segments=effects.segments,
        thermometers=thermometers.assign(finding=thermometers["number"].map(findings.thermometer_states)),
        sessions=sessions,
        budgets={s: r for s, r in references.items() if r is not None},
        common=effects.common,
        separable=effects.separable,
        probe=record,
        samples=probe.samples,
        findings=findings,
    )


def _by_row(findings: Findings, size: int) -> list[tuple[Mistake, ...]]:
    """Return the causes of each reading, most probable first."""
    rows: list[list[Mistake]] = [[] for _ in range(size)]
    columns = ["row", "kind", "group", "probability"]
    for row, kind, group, probability in findings.causes[columns].itertuples(index=False):
        rows[row].append({"kind": kind, "group": group, "probability": probability})
    return [tuple(row) for row in rows]
