"""Lasting steps of the record: a probe that fell, touches metal or got wet.

A step is a change of level of ``STEP_C`` or more between the ten minutes before and the ten minutes after,
most of it within three minutes, which outdoor air seldom does. It keeps the reference, with a larger
uncertainty, until a step back of at least half its size, else until the end of the local day. A rise also
ends where it has faded by half, as one in the sun does; which of the two it was is not told here. A change
that brings the record back to where it was within ``RECENT_S`` ends a trouble and is none itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd

from station.reference.flags import RATE_C_PER_MIN
from station.reference.quarters import Floats, local

Span = tuple[float, float]

STEP_C = RATE_C_PER_MIN  # degC, one minute's largest plausible change, kept up
LEVEL_S = 600.0  # s over which the level before and after is taken
FAST_S = 180.0  # s, three time constants of a common probe
FAST_SHARE = 0.7  # of the change, within those seconds
BACK_SHARE = 0.5  # of a step, in the other direction: it is undone
RECENT_S = 9000.0  # s; sun through an opening stays for two hours; longer ago, the weather has moved on
RETURN_SHARE = 0.75  # of a change: it brings the record back to where it was


@dataclass(frozen=True)
class Step:
    """A lasting step.

    ``time`` in s since 1970; ``size`` in degC, up positive; ``faded`` when the record has come half the way
    back, s; ``back`` whether the step itself brings it back to where it was not long before.
    """

    time: float
    size: float
    faded: float
    back: bool


def steps(t: Floats, x: Floats, interval_s: float) -> list[Step]:
    """Return lasting steps in order of time, those of half the size included, since they may undo another.

    Records of fewer than a sample in five minutes can't tell a step from weather and have none.
    """
    if not interval_s <= 300.0:
        return []
    width = 60.0 * max(1.0, np.ceil(interval_s / 60.0))
    grid = pd.Series(x).groupby(np.floor(t / width).astype(np.int64)).mean()
    first = int(grid.index[0])
    grid = grid.reindex(range(first, int(grid.index[-1]) + 1))
    n, skip = int(LEVEL_S / width), int(np.ceil(FAST_S / width))
    level = grid.rolling(n, min_periods=max(n // 2, 1)).mean()
    levels, before = level.to_numpy(), level.shift(1).to_numpy()
    change = level.shift(-(skip + n - 1)).to_numpy() - before
    fast = (grid.shift(-(skip - 1)) - grid.shift(1)).to_numpy()
    found = np.flatnonzero(
        (np.abs(change) >= BACK_SHARE * STEP_C) & (fast * np.sign(change) >= FAST_SHARE * np.abs(change))
    )
    result: list[Step] = []
    for group in np.split(found, np.flatnonzero(np.diff(found) * width > LEVEL_S) + 1):
        if group.size:
            k = int(group[np.argmax(np.abs(fast[group]))])
            middle, up = before[k] + BACK_SHARE * change[k], np.sign(change[k])
            was = levels[max(k - int(RECENT_S / width), 0) : k]
            returned = (levels[k + n :] - middle) * up <= 0.0
            faded = k + n + int(np.argmax(returned)) if returned.any() else grid.size
            back = bool(((was - before[k] - RETURN_SHARE * change[k]) * up >= 0.0).any())
            result.append(Step((first + k) * width, float(change[k]), (first + faded) * width, back))
    return result


def spans(found: list[Step], last_s: float, zone: ZoneInfo) -> list[Span]:
    """Return from each step to the step back, to where a rise has faded, or to the end of its local day."""
    result: list[Span] = []
    for i, step in enumerate(found):
        if abs(step.size) < STEP_C or step.back or (result and step.time <= result[-1][1]):
            continue  # small, a step back, or one more within a doubtful span
        end = min(_day_end(step.time, zone), last_s)
        if step.size > 0.0:
            end = min(end, step.faded)
        for later in found[i + 1 :]:
            if later.time < end and -later.size / step.size >= BACK_SHARE:
                end = later.time
        result.append((step.time, end))
    return result


def _day_end(at_s: float, zone: ZoneInfo) -> float:
    """Return the end of the local day of an instant, s since 1970, to the quarter hour."""
    starts = (np.floor(at_s / 900.0) + np.arange(0, 26 * 4)) * 900.0
    day, _ = local(starts, zone)
    return float(starts[np.argmax(day != day[0])])
