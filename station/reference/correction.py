"""Confirmed corrections of a probe's record: its clock and its indication."""

from __future__ import annotations

from collections.abc import Sequence
from zoneinfo import ZoneInfo

import pandas as pd

from station.record.model import ClockShift, Probe


def shift_clock(samples: pd.DataFrame, shifts: Sequence[ClockShift], zone: ZoneInfo) -> pd.DataFrame:
    """Return the samples with the clock errors that the teacher confirmed taken out.

    A shift applies to every stamp whose local date lies in its span, ends included; where shifted stamps
    would fall among later ones the rows are put back in order of time.

    Parameters
    ----------
    samples : DataFrame
        SAMPLES, in order of time.
    shifts : sequence of ClockShift
        ``shift_minutes`` [min] is added to the stamps.
    """
    if not shifts or samples.empty:
        return samples
    dates = samples["time"].dt.tz_convert(zone).dt.date
    time = samples["time"].copy()
    for shift in shifts:
        inside = (dates >= shift.first) & (dates <= shift.last)
        time[inside] += pd.Timedelta(minutes=shift.shift_minutes)
    return samples.assign(time=time).sort_values("time", kind="stable", ignore_index=True)


def corrected_c(samples: pd.DataFrame, probe: Probe) -> pd.Series:
    """Return indication + correction [degC] (JCGM 200:2012, 2.53: correction = -estimated bias)."""
    return samples["celsius"] + probe.correction_c
