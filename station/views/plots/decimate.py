"""A long record as one stroke a column of the picture: least and greatest value in each."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Columns:
    """Columns that hold samples: middle of each [unit of time], least and greatest value."""

    middle: Floats
    low: Floats
    high: Floats


def columns(time: Floats, value: Floats, count: int) -> Columns:
    """Return the least and greatest value in each of ``count`` equal spans of time; empty spans are left out.

    Nothing between is lost to the eye: a spike of one sample still reaches its full height.

    Parameters
    ----------
    time : ndarray, shape (n,)
        Rising.
    value : ndarray, shape (n,)
        Finite.
    count : int
        Columns over the whole span.
    """
    if time.size == 0:
        nothing = np.zeros(0)
        return Columns(nothing, nothing, nothing)
    edges = np.linspace(time[0], time[-1], count + 1)
    starts = np.searchsorted(time, edges[:-1], side="left")
    held = np.diff(np.append(starts, time.size)) > 0
    first = starts[held]
    middle = ((edges[:-1] + edges[1:]) / 2.0)[held]
    return Columns(middle, np.minimum.reduceat(value, first), np.maximum.reduceat(value, first))
