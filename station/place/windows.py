"""Windows: stretches of the day that are lit again and again, followed from day to day."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

#: Holes up to this long are clouds or leaves within one window; shorter runs are none [min] (tuned).
HOLE_MIN, SHORTEST_MIN = 10.0, 6.0
#: Windows of days whose noons lie this far apart are still one: two weeks without a usable day in spring or
#: autumn [degrees].
LINKED_DEG = 5.0
#: Days whose noons lie this near a window's own are asked of its edges, too [degrees] (tuned).
NEARBY_DEG = 2.0


@dataclass
class Window:
    """One recurring window: first and last lit column (exclusive end) by row of the grid."""

    rows: dict[int, tuple[int, int]] = field(default_factory=dict)

    @property
    def last_row(self) -> int:
        """The latest row that belongs to it."""
        return max(self.rows)

    @property
    def size(self) -> int:
        """How many cells it has on all its rows."""
        return sum(b - a for a, b in self.rows.values())

    def apart(self, noon: Array) -> Array:
        """Return how far each row's noon is from the nearest of the window's own, degrees, shape (d,)."""
        own = noon[sorted(self.rows)]
        return np.asarray(np.min(np.abs(noon[:, None] - own[None, :]), axis=1))

    def trimmed(self, cells: NDArray[np.bool_], step: int) -> Window:
        """Return it without ``cells``, shape (d, m), at its ends, nor what is too short beyond them."""
        rows, shortest = {}, max(round(SHORTEST_MIN / step), 1)
        for row, (a, b) in self.rows.items():
            if left := runs(~cells[row, a:b], 0, shortest):
                rows[row] = (a + left[0][0], a + left[-1][1])
        return Window(rows)

    def over(self, noon: Array, seen: NDArray[np.bool_]) -> Window:
        """Return it with the seen rows nearby that don't show it, as if it were there as on the nearest row.

        What a clear day lacks tells where a level edge has closed the window.
        """
        own = np.array(sorted(self.rows))
        near = np.flatnonzero(seen & (self.apart(noon) < NEARBY_DEG))
        nearest = own[np.argmin(np.abs(noon[near, None] - noon[None, own]), axis=1)]
        return Window({int(r): self.rows[int(n)] for r, n in zip(near, nearest, strict=True)} | self.rows)


def runs(mask: NDArray[np.bool_], hole: int, shortest: int) -> list[tuple[int, int]]:
    """Return (first, end) of stretches of True, closing short holes and leaving out short stretches."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], mask.astype(np.int8), [0]])))
    merged: list[tuple[int, int]] = []
    for first, end in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
        if merged and first - merged[-1][1] <= hole:
            merged[-1] = (merged[-1][0], end)
        else:
            merged.append((first, end))
    return [(a, b) for a, b in merged if b - a >= shortest]


def follow(lit: NDArray[np.bool_], noon: Array, step: int) -> list[Window]:
    """Link runs of one row with overlapping runs of earlier rows.

    Parameters
    ----------
    lit
        Where the place is held to be open to the sun, shape (d, m).
    noon
        Elevation of the sun at noon by row, degrees; rows far apart in it are not linked.
    step
        Minutes of a column.
    """
    found: list[Window] = []
    for row in range(lit.shape[0]):
        taken: set[int] = set()
        for first, end in runs(lit[row], round(HOLE_MIN / step), max(round(SHORTEST_MIN / step), 1)):
            best, overlap = None, 0
            for index, window in enumerate(found):
                last = window.last_row
                if last == row or index in taken or abs(noon[row] - noon[last]) > LINKED_DEG:
                    continue
                a, b = window.rows[last]
                shared = min(end, b) - max(first, a)
                if shared > overlap:
                    best, overlap = index, shared
            if best is None:
                found.append(Window({row: (first, end)}))
            else:
                found[best].rows[row] = (first, end)
                taken.add(best)
    return found
