"""What days share: evidence carried from day to day along the sun's own lines.

An upright edge is passed at the same azimuth on every day, a level edge at the same elevation. So evidence
of one day is laid under another day twice, once by each rule, and the two are averaged.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def carry(values: Array, azimuth: Array, elevation: Array, weight: Array) -> Array:
    """Return for every cell the sum of other days' values at the same place of the sky.

    Parameters
    ----------
    values
        Evidence per cell, shape (d, m), zero where nothing is known.
    azimuth, elevation
        Degrees, shape (d, m); azimuth unwrapped so that it rises (or falls) along a day.
    weight
        How much day j tells about day i, shape (d, d); zero on the diagonal leaves a day out of its own.
    """
    d, m = values.shape
    total = np.zeros((d, m))
    top = np.argmax(elevation, axis=1)
    sign = 1.0 if azimuth[0, -1] >= azimuth[0, 0] else -1.0
    climb = np.empty_like(elevation)
    for i in range(d):
        climb[i, : top[i]] = elevation[i, : top[i]] - elevation[i, top[i]]
        climb[i, top[i] :] = elevation[i, top[i]] - elevation[i, top[i] :]
    for j in range(d):
        others = np.flatnonzero(weight[:, j] > 0.02)
        if not len(others) or not np.any(values[j]):
            continue
        by_azimuth = np.interp(sign * azimuth[others], sign * azimuth[j], values[j])
        # The same elevation on the other day: its own climb coordinate, shifted by the noon elevations.
        shift = elevation[others, top[others]] - elevation[j, top[j]]
        morning = climb[others] < 0
        wanted = climb[others] + np.where(morning, shift[:, None], -shift[:, None])
        reached = np.where(morning, wanted <= 0, wanted >= 0)
        by_elevation = np.where(reached, np.interp(wanted, climb[j], values[j]), by_azimuth)
        total[others] += weight[others, j][:, None] * 0.5 * (by_azimuth + by_elevation)
    return total
