"""What people and other probes add: a sketch of the opening, shadows seen, a second probe."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from station.place.days import Days

Array = NDArray[np.float64]

#: Share of the sky that is open to the sun before anything is known (tuned with the figures of the chain).
OPEN = 0.08
#: Inside and outside a teacher's sketch, which is good to a few degrees; its edge is this soft [degrees].
SKETCH_INSIDE, SKETCH_OUTSIDE, SKETCH_SOFT_DEG = 0.80, 0.03, 3.0
#: How a lit and an unlit place answer "could you see your shadow?": chances of yes, faint, no (common sense).
ANSWERS = {"yes": (0.90, 0.03), "faint": (0.08, 0.12), "no": (0.02, 0.85)}
#: A note counts for this long around its time [min]; all its cells together count once.
NOTE_MIN = 6.0


@dataclass(frozen=True)
class Beside:
    """What a probe elsewhere tells about the air and the sky on the grid of this one, shape (d, m).

    ``above``: this probe's record above that one's while that one was shaded, degC, else NaN; ``out``: chance
    that the sun was out, from a probe in the open, else NaN.
    """

    above: Array
    out: Array


def sketch_prior(azimuth: Array, elevation: Array, corners: pd.DataFrame | None) -> Array:
    """Return the chance that each direction is open before any record.

    Parameters
    ----------
    azimuth, elevation
        Degrees, any shape.
    corners
        ``azimuth, elevation`` of an opening's corners in order, or None where nobody drew one.
    """
    if corners is None or len(corners) < 3:
        return np.full(azimuth.shape, OPEN)
    turn = np.radians(corners["azimuth"].to_numpy(dtype=np.float64))
    middle = float(np.degrees(np.arctan2(np.sin(turn).mean(), np.cos(turn).mean())))
    x0 = (corners["azimuth"].to_numpy(dtype=np.float64) - middle + 180) % 360 - 180
    y0 = corners["elevation"].to_numpy(dtype=np.float64)
    x, y = (azimuth - middle + 180) % 360 - 180, elevation
    inside = np.zeros(x.shape, bool)
    distance = np.full(x.shape, np.inf)
    for (xa, ya), (xb, yb) in zip(
        zip(x0, y0, strict=True), zip(np.roll(x0, -1), np.roll(y0, -1), strict=True), strict=True
    ):
        crosses = (ya > y) != (yb > y)
        with np.errstate(divide="ignore", invalid="ignore"):
            inside ^= crosses & (x < (xb - xa) * (y - ya) / (yb - ya) + xa)
        length2 = (xb - xa) ** 2 + (yb - ya) ** 2
        along = np.clip(((x - xa) * (xb - xa) + (y - ya) * (yb - ya)) / length2, 0, 1) if length2 else 0.0
        distance = np.minimum(distance, np.hypot(x - xa - along * (xb - xa), y - ya - along * (yb - ya)))
    signed = np.where(inside, distance, -distance) / SKETCH_SOFT_DEG
    share = 1 / (1 + np.exp(-2.0 * np.clip(signed, -20, 20)))
    return np.asarray(SKETCH_OUTSIDE + (SKETCH_INSIDE - SKETCH_OUTSIDE) * share)


def shadow_evidence(days: Days, notes: pd.DataFrame | None) -> Array | None:
    """Return log evidence for the probe being lit against unlit from shadows seen, shape (d, m).

    Parameters
    ----------
    notes
        ``time`` (UTC) and ``shadow`` (yes, faint, no), or None.
    """
    if notes is None or notes.empty or not len(days.start):
        return None
    found = np.zeros(days.celsius.shape)
    last = days.celsius.shape[1]
    half = max(round(NOTE_MIN / days.step / 2), 1)
    for time, answer in notes[["time", "shadow"]].itertuples(index=False):
        if answer not in ANSWERS or pd.isna(time):
            continue
        at = np.datetime64(time.tz_convert("UTC").tz_localize(None), "us")
        row = int(np.searchsorted(days.start, at, side="right")) - 1
        column = int((at - days.start[max(row, 0)]) // np.timedelta64(days.step, "m"))
        if row < 0 or column >= last:
            continue
        lit, unlit = ANSWERS[answer]
        cells = slice(max(column - half, 0), column + half + 1)
        found[row, cells] += np.log(lit / unlit) / (2 * half + 1)
    return found
