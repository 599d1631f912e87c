"""A team's steady bias, and its state."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
import numpy.typing as npt

from station.findings.evidence import Evidence
from station.findings.kinds import LOOKS_LIKE, Finding, State

Floats = npt.NDArray[np.float64]

#: Rule for naming a team for bias: size [degC], standard errors, readings, thermometers.
BIAS_C, ERRORS, READINGS, THERMOMETERS = 0.5, 2.0, 8, 5
#: Up to how many readings more standard errors are asked for, and how many: with eight readings two would
#: name a team with a true 0.3 degC once in seven hundred looks.
FEW, FEW_ERRORS = 20, 3.3
#: A steady bias leaves no more spread than this about it, and moves half of the readings by this [degC].
STEADY_C, MOST_C = 1.2, 0.4
#: From this many standard errors beyond the size it is clear.
CLEAR_ERRORS = 3.5
#: Groups that the thermometers of a team would show as well: not said of a team that can't be told from them.
THERMOMETER_TOO = frozenset({"column", "celsius side", "fahrenheit side"})


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
    # a habit of some sessions pulls the fit along, and leaves most readings where they were
    if float(np.std(rest)) > STEADY_C or abs(float(np.median(rest))) < MOST_C:
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
