"""Hand the probes' records to the survey of the place, and its sun back as doubts of the reference."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np
import pandas as pd

from station.base.exceptions import UnusableInput
from station.findings.clock import Shift
from station.place.notes import shadows
from station.place.places import Places, survey_places
from station.place.survey import Survey
from station.record.columns import Frames
from station.reference.correction import shift_clock
from station.reference.faults import examine
from station.reference.value import Doubt
from station.settings import Settings

#: A span of sun at least this probable puts a reference in doubt: likelier than not.
LIKELY = 0.5


def survey(frames: Frames, settings: Settings, suspected: Sequence[Shift], weeks: int) -> Places:
    """Survey the place of every probe, days with a suspected clock left out.

    Raises
    ------
    UnusableInput
        No latitude or longitude in station.toml.
    """
    site = settings.site
    if site.latitude is None or site.longitude is None:
        raise UnusableInput("station.toml gives no latitude and longitude, so the sun's path is not known")
    probes = {}
    for name in {"": None, **frames.probes}:
        samples = shift_clock(frames.probes.get(name, frames.probe), settings.clock, site.zone)
        usable = examine(samples, site.zone, settings.school, settings.sessions).usable
        usable &= ~_suspect(samples, suspected, settings)
        probes[name] = samples[usable].reset_index(drop=True)
    return survey_places(
        probes,
        {name: settings.probe(name).role for name in probes},
        site,
        settings.school,
        settings.sessions,
        frames.weather if len(frames.weather) else None,
        weeks,
        notes=shadows(frames.table("shadow"), frames.table("sessions"), site, settings.sessions),
        sketch=frames.table("opening"),
    )


def _suspect(samples: pd.DataFrame, suspected: Sequence[Shift], settings: Settings) -> np.ndarray:
    out = np.zeros(len(samples), dtype=bool)
    if suspected:
        dates = samples["time"].dt.tz_convert(settings.site.zone).dt.date
        for shift in suspected:
            out |= ((dates >= shift.first) & (dates <= shift.last)).to_numpy()
    return out


def sun_doubts(found: Survey) -> Iterable[Doubt]:
    """Return the spans in which sun likely reached the probe; what it added is the doubt's half-width."""
    for start, end, p, excess in found.spans[["start", "end", "probability", "excess_c"]].itertuples(
        index=False
    ):
        if p >= LIKELY:
            # an excess below zero is a poor estimate, and no less a doubt
            yield Doubt("sun", start.to_pydatetime(), end.to_pydatetime(), abs(excess) / math.sqrt(3.0))
