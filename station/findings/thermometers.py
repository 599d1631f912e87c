"""Thermometers of the box: reading high or low, an F plate that slipped, a column that separated."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from station.findings.evidence import Evidence, records
from station.findings.kinds import LOOKS_LIKE, Finding, State

Floats = npt.NDArray[np.float64]

#: Rules of decision for a thermometer's offset: size [degC], standard errors, uses, teams.
OFFSET_C, ERRORS, USES, TEAMS = 0.5, 2.0, 6, 4
#: From this many standard errors beyond the size it is clear.
CLEAR_ERRORS = 4.0
#: The plate rule: size [degC] and spread of one two-scale difference [degC]; 1.25 turns a mean's error into a
#: median's. Fewest uses.
PLATE_C, PLATE_SPREAD_C, PLATE_USES = 0.3, 0.6, 4
#: A step of one number at a date: least size [degC], least statistic, fewest uses on either side. The
#: statistic is the largest of some forty splits of each of sixteen numbers; five errors stay far from chance.
STEP_C, STEP_ERRORS, STEP_USES = 1.0, 5.0, 5
#: Least spread of the readings on one side of a step [degC]: scatter and rounding.
SIDE_LEAST_C = 0.45
#: A session whose centre is less certain than this says nothing about a thermometer [degC].
DOUBTFUL_C = 0.6


@dataclass(frozen=True)
class Step:
    """A number whose offset changed: before and after [degC], and the first session after."""

    number: int
    session: int
    before_c: float
    after_c: float
    errors: float
    rows: tuple[int, ...]


def findings(e: Evidence, table: pd.DataFrame, steps: tuple[Step, ...]) -> tuple[Finding, ...]:
    """Return what is found about each number; numbers without a finding are left out.

    Parameters
    ----------
    e : Evidence
    table : DataFrame
        ``number, readings, offset, offset_low, offset_high, separable, scale_difference``.
    steps : tuple of Step
        From ``steps``.
    """
    stepped = {step.number: step for step in steps}
    out: list[Finding] = []
    for row in records(table):
        if row.number not in e.numbers:
            continue
        code = e.numbers.index(row.number)
        mine = (e.number == code) & e.written
        rows = tuple(np.flatnonzero(mine).tolist())
        plate = _plate(e, mine, row.number, rows)
        if plate is not None:
            out.append(plate)
        if code in stepped:
            out.append(_separated(stepped[code], row.number))
        elif row.separable and math.isfinite(row.offset):
            teams = np.unique(e.team[mine]).size
            offset = _offset(row, teams, rows)
            if offset is not None:
                out.append(offset)
    return tuple(out)


def state(row: Any, found: tuple[Finding, ...], teams: int) -> State:
    """Return the state of one number of the table."""
    states = [f.state for f in found]
    if states:
        return "clear" if "clear" in states else "worth a look"
    enough = row.readings >= USES and teams >= TEAMS and row.separable
    return "nothing to see" if enough else "too early"


def steps(e: Evidence, bias: Floats, clean: npt.NDArray[np.bool_]) -> tuple[Step, ...]:
    """Return the numbers whose offset steps at one date.

    Parameters
    ----------
    e : Evidence
    bias : ndarray, shape (n,)
        Usual bias of the reading's team [degC].
    clean : ndarray of bool, shape (n,)
        Readings without an entry slip.
    """
    value = e.column - e.centre[e.session] - bias
    found = []
    for code in range(len(e.numbers)):
        mine = np.flatnonzero((e.number == code) & clean & np.isfinite(value) & ~e.quiet & (e.u < DOUBTFUL_C))
        mine = mine[np.argsort(e.session[mine], kind="stable")]
        y = value[mine]
        best: tuple[float, int, float, float] | None = None
        for k in range(STEP_USES, y.size - STEP_USES + 1):
            if e.session[mine[k]] == e.session[mine[k - 1]]:
                continue
            before, after = float(np.median(y[:k])), float(np.median(y[k:]))
            doubt = math.hypot(_median_error(y[:k]), _median_error(y[k:]))
            errors = abs(after - before) / doubt
            if best is None or errors > best[0]:
                best = (errors, k, before, after)
        if best is not None and best[0] > STEP_ERRORS and abs(best[3] - best[2]) > STEP_C:
            errors, k, before, after = best
            first = int(e.session[mine[k]])
            found.append(Step(code, first, before, after, errors, tuple(mine[k:].tolist())))
    return tuple(found)


def _median_error(y: Floats) -> float:
    """Return the standard error of the median of one side of a step [degC]."""
    # the mean distance from the median, unlike the median distance, sees one reading in three jump
    spread = 1.25 * float(np.mean(np.abs(y - np.median(y))))
    return 1.25 * max(spread, SIDE_LEAST_C) / math.sqrt(y.size)


def stepped_offsets(e: Evidence, offset: Floats, found: tuple[Step, ...]) -> Floats:
    """Return the offsets per reading with the steps in."""
    out = offset.copy()
    for step in found:
        mine = e.number == step.number
        out[mine & (e.session < step.session)] = step.before_c
        out[mine & (e.session >= step.session)] = step.after_c
    return out


def _offset(row: Any, teams: int, rows: tuple[int, ...]) -> Finding | None:
    error = (row.offset_high - row.offset_low) / 3.92
    size = row.offset
    if row.readings < USES or teams < TEAMS or abs(size) <= OFFSET_C + ERRORS * error:
        return None
    errors = (abs(size) - OFFSET_C) / error
    settled: State = "clear" if errors > CLEAR_ERRORS else "worth a look"
    return Finding(
        "thermometer_offset",
        "thermometer",
        row.number,
        settled,
        _tail(errors),
        rows,
        LOOKS_LIKE["thermometer_offset"],
        0 if settled == "clear" else 6,
        size,
    )


def _plate(e: Evidence, mine: npt.NDArray[np.bool_], number: str, rows: tuple[int, ...]) -> Finding | None:
    difference = (e.written_c - (e.written_f - 32.0) / 1.8)[mine]
    difference = difference[np.isfinite(difference)]
    if difference.size < PLATE_USES:
        return None
    size = float(np.median(difference))
    error = 1.25 * PLATE_SPREAD_C / math.sqrt(difference.size)
    if abs(size) <= PLATE_C + 3.0 * error:
        return None
    errors = (abs(size) - PLATE_C) / error
    settled: State = "clear" if errors > CLEAR_ERRORS else "worth a look"
    more = 0 if settled == "clear" else 4
    looks = LOOKS_LIKE["scale_plate_slipped"]
    return Finding(
        "scale_plate_slipped", "thermometer", number, settled, _tail(errors), rows, looks, more, size
    )


def _separated(step: Step, number: str) -> Finding:
    settled: State = "clear" if step.errors > STEP_ERRORS + 2.0 else "worth a look"
    return Finding(
        "column_separated",
        "thermometer",
        number,
        settled,
        _tail(step.errors),
        step.rows,
        LOOKS_LIKE["column_separated"],
        0 if settled == "clear" else 4,
        step.after_c - step.before_c,
    )


def _tail(errors: float) -> float:
    """Return the normal probability below ``errors``."""
    return 0.5 * (1.0 + math.erf(errors / math.sqrt(2.0)))
