"""The flow on one page: frames + settings -> Assessment. Pure; every view takes an Assessment.

Order: confirmed clock, flags and faults of the probe, reference at each reading, error, band and verdict,
team and thermometer effects, class value.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import pandas as pd

from station.assess.crossed import describe_thermometers, fit_effects
from station.assess.question import gather
from station.assess.readings import bands, errors, questioned, two_scales
from station.assess.sessions import session_spans, summarise_sessions
from station.comparison.effects import Limits
from station.findings.look import Findings, look
from station.record.columns import Frames
from station.record.model import Session
from station.reference.correction import corrected_c, shift_clock
from station.reference.faults import ProbeRecord, examine
from station.reference.value import Doubt, ProbeSeries, Reference
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
    spans = session_spans(readings, frames, settings)
    references = {s: series.reference(start, minutes, doubts=doubts) for s, (start, minutes) in spans.items()}
    readings = errors(readings, references, series, doubts)
    readings = two_scales(readings, settings)
    readings = bands(readings, settings)

    tell("comparing teams and thermometers", 0.7)
    effects = fit_effects(readings, frames, settings)
    thermometers = describe_thermometers(effects, readings, settings)
    readings = questioned(readings, thermometers)
    readings["offset"] = effects.offset
    readings["error_without_offset"] = readings["error"] - effects.offset
    readings["slip"] = effects.slip
    readings["rest"] = effects.rest
    sessions = summarise_sessions(readings, spans, references, record, settings)
    tell("looking for causes", 0.8)
    findings = look(gather(readings, effects, thermometers, sessions, series, frames, settings))
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
