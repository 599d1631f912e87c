"""What came of a change in a team, coaching or a new pair: helped, not yet, or too early to say.

A team that stood out falls back by itself. So nothing is said of a team in which nothing had been found; what
was seen before the date is shrunk towards what is usual before it is compared; and "helped" is said only
where the 95 % limits of the change leave zero out. Only the segments next to the date are compared.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy.special import betaincinv

from station.findings import habits
from station.findings.evidence import Evidence
from station.findings.kinds import Finding
from station.findings.mistakes import Causes

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Counts = tuple[int, int, int, int]  # as the last four of Change

#: Readings after a change before anything is said of it, and fewest before it that show the habit.
AFTER, BEFORE = 6, 3
#: Usual spread of the teams' leans [degC], towards which a lean is shrunk.
LEANS_C = 0.3
#: Least spread of a reading about its team's line [degC]: scatter and rounding.
REST_LEAST_C = 0.4
#: Share of cards that show one kind of slip in a team without that habit, and as how many cards it counts.
SLIP_SHARE, CARDS = 0.01, 6.0
_QUANTILES = (np.arange(200) + 0.5) / 200.0


@dataclass(frozen=True)
class Change:
    """What came of one date: "helped", "not yet" or "too early" of one habit.

    ``why``: "coaching", "new pair" or "one reader". A lean changed by ``change_c``; a habit that shows in
    some cards by ``share``; each with its 95 % limits, NaN where the other one is meant. Before and after:
    cards that show the habit, and cards in which it could.
    """

    team: str
    date: dt.date
    why: str
    kind: str
    verdict: str
    change_c: float = math.nan
    low_c: float = math.nan
    high_c: float = math.nan
    share: float = math.nan
    share_low: float = math.nan
    share_high: float = math.nan
    shown_before: int = 0
    cards_before: int = 0
    shown_after: int = 0
    cards_after: int = 0


@dataclass(frozen=True)
class Side:
    """A team's readings on one side of a change, in order of time, and its segment of the fit."""

    rows: Ints
    segment: Any


def after_change(
    e: Evidence,
    causes: Causes,
    usual_c: Floats,
    found: Sequence[Finding],
    sides: tuple[Side, Side],
    date: dt.date,
    why: str,
) -> tuple[Change, ...]:
    """Return what came of one change for each habit that was found before it.

    Parameters
    ----------
    e, causes : Evidence, Causes
    usual_c : ndarray, shape (n,)
        Usual bias of the reading's team [degC].
    found : sequence of Finding
        Of the team.
    sides : (Side, Side)
        The segments next to the date, before and after.
    date, why
        Of the change.
    """
    before, after = sides
    out = []
    for finding in found:
        if np.isin(before.rows, finding.rows).sum() < BEFORE:
            continue
        if finding.kind == "eye_line":
            out.append(_steady(e, finding, sides, date, why))
        elif finding.kind == "read_too_soon":
            out.append(_soon(e, causes, finding, sides, date, why))
        else:
            team = int(e.team[before.rows[0]])
            trace = habits.traces(e, causes, usual_c, team)[finding.kind]
            shown = [trace.shows[np.isin(trace.rows, side.rows)] for side in (before, after)]
            usual = float(trace.usual.mean()) if trace.usual.size else SLIP_SHARE
            out.append(_shares(finding, (shown[0], shown[1]), usual, date, why))
    return tuple(out)


def _steady(e: Evidence, finding: Finding, sides: tuple[Side, Side], date: dt.date, why: str) -> Change:
    """Compare the biases of two segments, which the fit has shrunk already."""
    before, after = (side.segment for side in sides)
    counts = _counts(finding, sides)
    if after is None or not math.isfinite(before.bias + after.bias):
        return _too_early(finding, counts, date, why)
    half = math.hypot(before.bias_high - before.bias_low, after.bias_high - after.bias_low) / 2.0
    return _lean(finding, (before.bias, after.bias), half, counts, date, why)


def _soon(
    e: Evidence, causes: Causes, finding: Finding, sides: tuple[Side, Side], date: dt.date, why: str
) -> Change:
    """Compare how far the excess follows the classroom's gap on both sides, at the gap usual for both."""
    counts = _counts(finding, sides)
    rows = [habits.follows_gap(e, causes, side.rows) for side in sides]
    if rows[1].size < AFTER or rows[0].size < BEFORE:
        return _too_early(finding, counts, date, why)
    at = float(np.median(e.gap[np.concatenate(rows)]))
    leans, variance = [], 0.0
    for mine in rows:
        value, error = _through_origin(e.gap[mine], (e.column - e.expected)[mine])
        # a lean far beyond the usual spread is no chance, and is hardly shrunk
        spread = max(LEANS_C, abs(value) * at)
        keep = spread**2 / (spread**2 + (error * at) ** 2)
        leans.append(keep * value * at)
        variance += keep * (error * at) ** 2
    return _lean(finding, (leans[0], leans[1]), 1.96 * math.sqrt(variance), counts, date, why)


def _through_origin(x: Floats, y: Floats) -> tuple[float, float]:
    """Return the slope of a line through the origin by Huber weights, and its standard error."""
    weight = np.ones(x.size)
    for _ in range(12):
        square = float((weight * x * x).sum())
        slope = float((weight * x * y).sum()) / square
        rest = np.abs(y - slope * x)
        spread = max(1.4826 * float(np.median(rest)), REST_LEAST_C)
        weight = np.minimum(1.0, 1.5 * spread / np.maximum(rest, 1e-9))
    return slope, spread / math.sqrt(square)


def _lean(
    finding: Finding,
    leans: tuple[float, float],
    half: float,
    counts: Counts,
    date: dt.date,
    why: str,
) -> Change:
    before, after = leans
    change = after - before
    helped = abs(after) < abs(before) and not (change - half <= 0.0 <= change + half)
    there = abs(after) > abs(before) / 2.0
    return Change(
        finding.subject, date, why, finding.kind, _verdict(counts[3], helped, there),
        change, change - half, change + half, math.nan, math.nan, math.nan, *counts,
    )  # fmt: skip


def _shares(
    finding: Finding,
    shown: tuple[npt.NDArray[np.bool_], npt.NDArray[np.bool_]],
    usual: float,
    date: dt.date,
    why: str,
) -> Change:
    """Compare how often a habit shows; both shares have a beta distribution about the usual one."""
    hits = [int(part.sum()) for part in shown]
    # what stood out is shrunk; what came after is given no such help, but half a card either way (Jeffreys)
    priors = ((CARDS * usual, CARDS * (1.0 - usual)), (0.5, 0.5))
    draws = [
        betaincinv(k + a, part.size - k + b, _QUANTILES)
        for k, part, (a, b) in zip(hits, shown, priors, strict=True)
    ]
    apart = draws[1][:, None] - draws[0]
    low, high = (float(v) for v in np.quantile(apart, [0.025, 0.975]))
    verdict = _verdict(shown[1].size, high < 0.0, hits[1] > usual * shown[1].size)
    return Change(
        finding.subject, date, why, finding.kind, verdict, math.nan, math.nan, math.nan,
        float(apart.mean()), low, high, hits[0], shown[0].size, hits[1], shown[1].size,
    )  # fmt: skip


def _counts(finding: Finding, sides: tuple[Side, Side]) -> Counts:
    shown = [int(np.isin(side.rows, finding.rows).sum()) for side in sides]
    return shown[0], sides[0].rows.size, shown[1], sides[1].rows.size


def _too_early(finding: Finding, counts: Counts, date: dt.date, why: str) -> Change:
    nothing = (math.nan,) * 6
    return Change(finding.subject, date, why, finding.kind, "too early", *nothing, *counts)


def _verdict(n_after: int, helped: bool, there: bool) -> str:
    """Return the verdict: what has gone but in too few cards to be sure of it is "too early"."""
    if n_after < AFTER:
        return "too early"
    if helped:
        return "helped"
    return "not yet" if there else "too early"
