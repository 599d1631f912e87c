"""Plain-word troubles of a probe's record, and which of its samples may enter a reference."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from station.record.model import Fault, School, Sessions
from station.reference import flags as f
from station.reference.indoors import indoors
from station.reference.presence import presence
from station.reference.quarters import Floats, Quarters, runs
from station.reference.steps import spans as step_spans
from station.reference.steps import steps

Bools = NDArray[np.bool_]
Span = tuple[float, float]

POWER_ON_C = 85.0  # degC, what the common digital sensor says before its first conversion (memory)
DISCONNECTED_C = -127.0  # degC, what the common library says when no sensor answers (common practice)
SENTINEL_TOLERANCE_C = 0.01  # degC, rounding of a file in Fahrenheit
HOT_C = 5.0  # degC; a neighbour this near to 85 makes 85 a measurement of something hot
MERGE_S = f.GAP_S  # s; troubles of one kind closer than this are one
STUCK_S = 2 * 3600.0  # s of the very same value; common practice
STUCK_C_PER_H = 0.1  # degC an hour, Zahumensky: a coarser resolution may stand correspondingly longer

#: Kinds that leave no reference, in the order in which they explain a sample.
LEAVES_NONE = ("disconnected_value", "power_on_value", "out_of_range", "stuck", "indoors", "gap")


@dataclass(frozen=True)
class ProbeRecord:
    """What a record is worth.

    Attributes
    ----------
    flags : DataFrame
        One ``uint8`` column for each of ``flags.CHECKS``, one row a sample.
    usable : ndarray of bool, shape (n,)
        Samples that may enter a reference.
    faults : tuple of Fault
        In order of time; kinds of ``LEAVES_NONE`` and ``step``.
    away : tuple of Fault
        Pauses in hours that are not recorded by habit (kind ``away``); not faults.
    typical_interval_s : float
        Median time between samples, NaN for fewer than two.
    logged_too_seldom : bool
        That is more than 15 minutes: no reference can be set.
    """

    flags: pd.DataFrame
    usable: Bools
    faults: tuple[Fault, ...]
    away: tuple[Fault, ...]
    typical_interval_s: float
    logged_too_seldom: bool


def examine(samples: pd.DataFrame, zone: ZoneInfo, school: School, sessions: Sessions) -> ProbeRecord:
    """Examine a probe's record.

    Parameters
    ----------
    samples
        Columns of ``record.columns.SAMPLES``, in order of time.
    zone
        The site's time zone: habits and days are local.
    school
        School days and hours.
    sessions
        For the classroom's temperature.
    """
    t, x = f.seconds(samples["time"]), samples["celsius"].to_numpy(np.float64)
    flags = f.check(t, x)
    found: dict[str, list[Span]] = {}
    usable = np.isfinite(x)
    for kind, mask in _sentinels(t, x).items():
        found[kind] = _merged(t, mask & usable)
        usable &= ~mask
    beyond = (flags["gross_range"] == f.Flag.FAIL).to_numpy() & usable
    found["out_of_range"] = _merged(t, beyond)
    usable &= ~beyond & (flags["spike"] != f.Flag.FAIL).to_numpy()
    usable &= ~_wakes_up(t, np.where(usable, x, np.nan))
    seen = presence(t, zone, school)
    found["gap"] = list(seen.gaps)

    for kind in ("stuck", "indoors"):
        left = np.where(usable, x, np.nan)
        if kind == "stuck":
            found[kind] = _stuck(t, left)
        else:
            found[kind] = indoors(t, left, Quarters.of(t, left, zone), sessions.indoor_c)
        for start, end in found[kind]:
            usable[np.searchsorted(t, start) : np.searchsorted(t, end, side="right")] = False

    left = np.where(usable, x, np.nan)
    jumps = [j for j in steps(t, left, seen.interval_s) if not _explained(j.time, found)]
    found["step"] = step_spans(jumps, float(t[-1]), zone) if jumps else []
    faults = [_fault(kind, span) for kind, spans in found.items() for span in spans]
    faults.sort(key=lambda fault: (fault.start, fault.kind))
    return ProbeRecord(
        flags=flags,
        usable=usable,
        faults=tuple(faults),
        away=tuple(_fault("away", span) for span in seen.away),
        typical_interval_s=seen.interval_s,
        logged_too_seldom=seen.too_seldom,
    )


def _fault(kind: str, span: Span) -> Fault:
    start, end = (dt.datetime.fromtimestamp(s, dt.UTC) for s in span)
    return Fault(kind, start, end)


def _sentinels(t: Floats, x: Floats) -> dict[str, Bools]:
    """Return where the value is no temperature; 85 among other hot values is one, out of any air's range."""
    power_on = np.abs(x - POWER_ON_C) <= SENTINEL_TOLERANCE_C
    for a, b in runs(power_on):
        neighbours = [
            i for i, edge in ((a - 1, a), (b, b - 1)) if 0 <= i < x.size and abs(t[i] - t[edge]) <= 300
        ]
        if any(abs(x[i] - POWER_ON_C) <= HOT_C for i in neighbours):
            power_on[a:b] = False
    return {
        "disconnected_value": np.abs(x - DISCONNECTED_C) <= SENTINEL_TOLERANCE_C,
        "power_on_value": power_on,
    }


def _merged(t: Floats, mask: Bools) -> list[Span]:
    """Return spans of marked samples, close ones joined; a lone sample is dropped like a spike."""
    at = np.flatnonzero(mask)
    groups = np.split(at, np.flatnonzero(np.diff(t[at]) > MERGE_S) + 1)
    return [(float(t[g[0]]), float(t[g[-1]])) for g in groups if g.size > 1]


def _wakes_up(t: Floats, x: Floats) -> Bools:
    """Return first samples after a pause that the next one contradicts: some sensors wake so."""
    wakes = np.zeros(x.shape, dtype=bool)
    if x.size > 1:
        after = np.concatenate([[True], np.diff(t[:-1]) > f.GAP_S])
        jump = np.abs(np.diff(x)) > f.RATE_C_PER_MIN * np.maximum(np.diff(t), 60.0) / 60.0
        wakes[:-1] = after & jump
    return wakes


def _stuck(t: Floats, x: Floats) -> list[Span]:
    """Return spans of one and the same value that are too long for the record's own resolution."""
    kept = np.flatnonzero(~np.isnan(x))
    if kept.size < 2:
        return []
    change = np.abs(np.diff(x[kept]))
    moved = change > 1e-4  # degC; less is rounding of the file
    resolution = float(change[moved].min()) if moved.any() else STUCK_C_PER_H
    least = max(STUCK_S, resolution / STUCK_C_PER_H * 3600.0)
    cuts = np.flatnonzero(moved | (np.diff(t[kept]) > f.GAP_S)) + 1
    first, last = kept[np.append(0, cuts)], kept[np.append(cuts, kept.size) - 1]
    long = t[last] - t[first] >= least
    return [(float(t[a]), float(t[b])) for a, b in zip(first[long], last[long], strict=True)]


def _explained(at_s: float, found: dict[str, list[Span]]) -> bool:
    """Tell whether a step stands beside a trouble that is already named."""
    return any(
        start - MERGE_S <= at_s <= end + MERGE_S for kind in LEAVES_NONE for start, end in found.get(kind, [])
    )
