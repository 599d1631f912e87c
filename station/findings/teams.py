"""A team's steady bias, its state, and whether coaching or a new pair changed something."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from station.findings.evidence import Evidence
from station.findings.kinds import LOOKS_LIKE, Finding, State

Floats = npt.NDArray[np.float64]

#: Rule for naming a team for bias: size [degC], standard errors, readings, thermometers.
BIAS_C, ERRORS, READINGS, THERMOMETERS = 0.5, 2.0, 8, 5
#: Up to how many readings more standard errors are asked for, and how many: with eight readings two would
#: name a team with a true 0.3 degC once in seven hundred looks.
FEW, FEW_ERRORS = 20, 3.3
#: A steady bias leaves no more spread than this about it [degC].
STEADY_C = 1.2
#: From this many standard errors beyond the size it is clear.
CLEAR_ERRORS = 3.5
#: Habits that a thermometer of its own would show as well: not said of a team that keeps one for good.
THERMOMETER_TOO = frozenset({"read_too_soon", "small_marks", "eye_line"})
#: Readings after a change before anything is said of it.
AFTER = 6


@dataclass(frozen=True)
class Change:
    """What came of one coaching date: team, date, habit looked at, "helped", "not yet" or "too early"."""

    team: str
    date: dt.date
    kind: str
    verdict: str
    change_c: float
    low_c: float
    high_c: float


def steady_bias(e: Evidence, segment: Any, rows: npt.NDArray[np.int64], rest: Floats) -> Finding | None:
    """Return the finding that a team reads high or low by a steady amount, or None.

    Parameters
    ----------
    e : Evidence
    segment : row of the segments table
        ``team, readings, bias, bias_low, bias_high``.
    rows : ndarray of int
        The segment's readings without slips, in order of time, thermometer known, session not in doubt.
    rest : ndarray
        Of these readings: column minus expected [degC].
    """
    size, n = segment.bias, rows.size
    if not math.isfinite(size) or n < READINGS or np.unique(e.number[rows]).size < THERMOMETERS:
        return None
    error = max((segment.bias_high - segment.bias_low) / 3.92, 0.05)
    asked = ERRORS if n >= FEW else FEW_ERRORS
    if abs(size) <= BIAS_C + asked * error:
        return None
    halves = [float(np.median(part)) for part in np.array_split(rest, 2)]
    if min(np.sign(half) * np.sign(size) for half in halves) <= 0 or np.median(np.abs(halves)) < BIAS_C / 2:
        return None
    if float(np.std(rest)) > STEADY_C:
        return None
    errors = (abs(size) - BIAS_C) / error
    state: State = "clear" if errors > CLEAR_ERRORS else "worth a look"
    p = 0.5 * (1.0 + math.erf(errors / math.sqrt(2.0)))
    more = 0 if state == "clear" else max(2, round(n * ((CLEAR_ERRORS / errors) ** 2 - 1.0)))
    return Finding(
        "eye_line", "column", segment.team, state, p, tuple(rows.tolist()),
        LOOKS_LIKE["eye_line"], more, size,
    )  # fmt: skip


def state(found: Sequence[Finding], readings: int, separable: bool) -> State:
    """Return the state of one team; one that can't be told from its thermometers stays "too early"."""
    if found:
        return "clear" if any(f.state == "clear" for f in found) else "worth a look"
    return "nothing to see" if readings >= READINGS and separable else "too early"


def after_coaching(
    e: Evidence, team: str, date: dt.date, found: Sequence[Finding], segments: pd.DataFrame
) -> tuple[Change, ...]:
    """Return what came of coaching for each habit that was found before it.

    A team that merely stood out falls back by itself, so nothing is said of a team in which nothing had been
    found; the change of a bias is that of two shrunk segments, and its interval must exclude zero.
    """
    when = np.array([key[0] for key in e.sessions], dtype=object)[e.session]
    code = e.teams.index(team)
    mine = (e.team == code) & e.written
    after = mine & (when >= date)
    out = []
    for finding in found:
        rows = np.array(finding.rows, dtype=np.int64)
        before_rows = rows[when[rows] < date]
        if before_rows.size < 3:
            continue
        n_after, n_before = int(after.sum()), int((mine & (when < date)).sum())
        if finding.kind == "eye_line":
            out.append(_bias_change(team, date, segments, n_after))
            continue
        share = before_rows.size / max(n_before, 1)
        later = int((when[rows] >= date).sum())
        change = later / max(n_after, 1) - share
        if finding.kind == "read_too_soon":
            gap = e.column - e.expected
            share_c = float(np.median(gap[before_rows]))
            still = gap[after & np.isfinite(gap) & ~e.quiet]
            change = (float(np.median(still)) if still.size else math.nan) - share_c
            verdict = _verdict(n_after, bool(abs(share_c + change) < abs(share_c) / 3.0))
            out.append(Change(team, date, finding.kind, verdict, change, math.nan, math.nan))
            continue
        # chance of so few after if nothing had changed (binomial tail)
        tail = sum(math.comb(n_after, k) * share**k * (1 - share) ** (n_after - k) for k in range(later + 1))
        verdict = _verdict(n_after, tail < 0.025)
        out.append(Change(team, date, finding.kind, verdict, math.nan, math.nan, math.nan))
    return tuple(out)


def _bias_change(team: str, date: dt.date, segments: pd.DataFrame, n_after: int) -> Change:
    own = segments[segments["team"] == team]
    before, after = own[own["to"] < date].tail(1), own[own["from"] >= date].head(1)
    if before.empty or after.empty:
        return Change(team, date, "eye_line", "too early", math.nan, math.nan, math.nan)
    b, a = before.iloc[0], after.iloc[0]
    change = a["bias"] - b["bias"]
    half = math.hypot(b["bias_high"] - b["bias_low"], a["bias_high"] - a["bias_low"]) / 2.0
    smaller = abs(a["bias"]) < abs(b["bias"])
    helped = smaller and not (change - half <= 0.0 <= change + half)
    return Change(team, date, "eye_line", _verdict(n_after, helped), change, change - half, change + half)


def _verdict(n_after: int, helped: bool) -> str:
    if n_after < AFTER:
        return "too early"
    return "helped" if helped else "not yet"
