"""Low sun: whether the record rises and falls with the first and the last beam of clear days.

The beam gains most of its strength while the sun climbs its first fifteen degrees, and a probe in it follows
within minutes. Shaded air follows hours late, in a curve. So a place that nothing shades shows every clear
morning and evening, where broken cloud shows it on few days. It tells nothing of windows that open later,
and a record of school hours alone holds neither.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from station.place.days import Days

Array = NDArray[np.float64]

#: What stands on the horizon, in the steps that are tried [degrees].
HORIZONS_DEG = (2.0, 3.5, 5.0, 6.5)
#: The sun has to climb so far above it, where the beam has gained most of its strength; its disc is so wide
#: [degrees].
CLIMBS_DEG, DISC_DEG = 10.0, 0.53
#: How long before and after the sun crosses it the record is asked, in means of so long [min] (tuned; 150 and
#: 250 minutes after do nearly as well, 60 don't).
BEFORE_MIN, AFTER_MIN, MEAN_MIN = 60, 200, 4
#: How shaded air wanders: square of its spread after an hour, and of a mean's own [degC2] (tuned).
WANDERS_C2, MEAN_C2 = 0.16, 0.10
#: The least scatter of a morning's or evening's warmth (the probe's own steps) [degC], how many of them are
#: asked for (three days'), and how many count at the most, those of the ten days it was tuned on: air is no
#: such curve, and by how much it isn't, all of them say alike.
SCATTER_C, ENOUGH, MOST = 0.05, 6, 22
#: Shaded places seldom reach so many scatters, places in the sun all day mostly do; log odds for each scatter
#: more or less, and the most that it says either way: real air in the wet June of Payerne tells less than
#: invented air (fitted on invented sites apart).
USUAL, EACH, AGAINST, FOR = 3.0, 1.5, -2.0, 3.0


def clear_beam(elevation: Array) -> Array:
    """Return the beam of a clear sky as a share of that above the air, for elevations in degrees, same shape.

    0.7 to the power of the air mass to the power of 0.678 (Meinel and Meinel, Applied Solar Energy, 1976);
    air mass of Kasten and Young (Applied Optics 28, 1989).
    """
    e = np.clip(elevation, 0.0, 90.0)
    mass = 1 / (np.sin(np.radians(e)) + 0.50572 * (e + 6.07995) ** -1.6364)
    return np.asarray(np.where(elevation > 0, 0.7 ** (mass**0.678), 0.0))


def low_sun_log_odds(days: Days, sky: Array) -> float:
    """Return the log odds that the low sun reaches the probe, by all mornings and evenings; 0 from too few.

    ``sky`` is the chance by row that the sun was out, shape (d,).
    """
    warmth = _warmth(days)
    largest = -np.inf
    for found in np.moveaxis(warmth, 2, 0):
        known = np.isfinite(found)
        if known.sum() < ENOUGH:
            continue
        c, p = found[known], np.broadcast_to(sky[:, None], found.shape)[known]
        height = float((p * c).sum() / (p**2).sum())  # a dull morning shows no beam
        scatter = 1.48 * float(np.median(np.abs(c - height * p))) + SCATTER_C
        worth = float((p**2).sum()) * min(1.0, MOST / len(p))
        largest = max(largest, height * float(np.sqrt(worth)) / scatter)
    return float(np.clip(EACH * (largest - USUAL), AGAINST, FOR)) if np.isfinite(largest) else 0.0


def _warmth(days: Days) -> Array:
    """Return how much of the beam's shape each morning and evening shows beside a smooth curve.

    By generalised least squares, degC of a beam as above the air, shape (d, 2, horizons); NaN where there is
    no full record or no such sun.
    """
    cells = max(round(MEAN_MIN / days.step), 1)
    before, after = (round(t / days.step / cells) * cells for t in (BEFORE_MIN, AFTER_MIN))
    along = np.arange(-before, after)
    t = (np.arange((before + after) // cells) + 0.5) * cells * days.step / 60
    inverse = np.linalg.inv(WANDERS_C2 * np.minimum(t[:, None], t) + MEAN_C2 * np.eye(len(t)))
    smooth = np.stack([np.ones(len(t)), t, t**2], axis=1)
    # What a smooth curve may explain is taken out of the weights.
    weights = inverse - inverse @ smooth @ np.linalg.solve(smooth.T @ inverse @ smooth, smooth.T @ inverse)
    found = np.full((len(days.start), 2, len(HORIZONS_DEG)), np.nan)
    for row, elevation in enumerate(days.elevation):
        for k, low in enumerate(HORIZONS_DEG):
            up = np.flatnonzero(elevation > low)
            if elevation.max() < low + CLIMBS_DEG:
                continue
            for side, at in enumerate((up[0] + along, up[-1] - along)):
                if at.min() < 0 or at.max() >= len(elevation):
                    continue
                values = days.celsius[row, at].reshape(-1, cells)
                count = np.isfinite(values).sum(axis=1)
                means = np.where(count > 0, np.nan_to_num(values).sum(axis=1) / np.maximum(count, 1), np.nan)
                disc = np.clip((elevation[at] - low) / DISC_DEG + 0.5, 0, 1)
                shape = (clear_beam(elevation[at]) * disc).reshape(-1, cells).mean(axis=1)
                found[row, side, k] = shape @ weights @ means / (shape @ weights @ shape)
    return found
