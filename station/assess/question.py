"""Gather what the findings need."""

from __future__ import annotations

import datetime as dt
import math

import pandas as pd

from station.base.time import to_utc
from station.comparison.segments import changes
from station.comparison.summary import Effects
from station.findings.question import Question
from station.record.columns import Frames
from station.reference.value import ProbeSeries, shared_lines
from station.settings import Settings


def gather(
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
    doubted = readings[readings["doubted"].astype(bool)]

    def record_at(date: dt.date, part: str, minutes: float) -> float:
        start = to_utc(date, parts[part].start, settings.site.zone) + dt.timedelta(minutes=minutes)
        found = series.reference(start, parts[part].minutes)
        return math.nan if found is None else found.value_c

    return Question(
        readings=readings,
        teams=effects.teams,
        segments=effects.segments,
        thermometers=thermometers,
        changes=changes(frames.table("coaching"), frames.table("pairs")),
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
        quiet=frozenset(zip(doubted["date"], doubted["session"], strict=True)),
        shared_u_c=math.hypot(*(line.contribution for line in shared_lines(settings.probe()))),
    )
