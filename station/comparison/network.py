"""Which teams and thermometers can be told apart: the network of who read with what."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

Ints = npt.NDArray[np.int64]


def parts(units: Ints, numbers: Ints, unit_count: int, number_count: int) -> tuple[Ints, Ints]:
    """Return the part of the network each unit and each number belongs to; -1 where nobody used it.

    A unit (team) and a number (thermometer) are linked by a reading. Within one part, teams and
    thermometers separate; between parts only their sum is known.

    Parameters
    ----------
    units, numbers : ndarray of int, shape (n,)
        Codes of each reading; readings with a negative code are left out.
    """
    known = (units >= 0) & (numbers >= 0)
    u, k = units[known], numbers[known]
    size = unit_count + number_count
    links = coo_array((np.ones(u.size), (u, unit_count + k)), shape=(size, size))
    _, label = connected_components(links, directed=False)
    used = np.zeros(size, dtype=bool)
    used[u] = True
    used[unit_count + k] = True
    part = np.where(used, label, -1).astype(np.int64)
    return part[:unit_count], part[unit_count:]


def largest(unit_parts: Ints) -> int:
    """Return the part that holds most units; the lower label on a tie.

    -1 where there is none, or where each of several units is a part of its own: a team that shares no
    thermometer with another is not told from what it reads with.
    """
    real = unit_parts[unit_parts >= 0]
    counts = np.bincount(real) if real.size else np.zeros(1, dtype=np.int64)
    return int(counts.argmax()) if counts.max() > 1 or real.size == 1 else -1
