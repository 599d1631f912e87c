"""The reference value over a span of time, with a budget that shows every line.

The reference is the mean, over the span, of the line through the usable samples; no line is drawn between
samples more than 15 minutes apart. The budget follows JCGM 100:2008 and keeps what all readings share
(the probe's limits, the place) apart from what one span has to itself, so that an average over readings
never divides the shared part.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from station.base.uncertainty import Budget, Component, rectangular, series_mean
from station.record.model import Probe, TimeDoubt

#: Longest pause between two samples that a reference may bridge [s]; rule of this tool (15 min).
LONGEST_GAP_S = 900.0

#: Half-width of the limits for "the probe and the bulbs stand in the same air" [degC]; common practice:
#: bulbs within arm's length of the probe in moving shaded air agree within a quarter of a degree.
PLACE_HALF_WIDTH_C = 0.25

#: Half-width of the doubt of a reading's own noted time [min]; a pupil notes a clock to a few minutes.
NOTED_TIME_HALF_WIDTH_MIN = 2.5

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Doubt:
    """A span in which the record stands but is doubted: kind, UTC span, standard uncertainty it adds."""

    kind: str
    start: dt.datetime
    end: dt.datetime
    u_c: float


@dataclass(frozen=True)
class Reference:
    """A reference value [degC], its budget, and which doubts touched the span."""

    value_c: float
    budget: Budget
    doubts: tuple[str, ...] = ()

    @property
    def u_c(self) -> float:
        """Return the combined standard uncertainty [degC]."""
        return self.budget.u

    @property
    def expanded_c(self) -> float:
        """Return the expanded uncertainty [degC] at 95 %."""
        return self.budget.expanded()


@dataclass(frozen=True)
class ProbeSeries:
    """The usable samples of one probe as arrays: seconds since the epoch (UTC, rising) and corrected degC.

    ``time_doubts`` are the spans in which the stamps themselves are uncertain.
    """

    seconds: Floats
    celsius: Floats
    probe: Probe
    time_doubts: tuple[TimeDoubt, ...] = ()

    @classmethod
    def of(
        cls,
        samples: pd.DataFrame,
        celsius: pd.Series,
        probe: Probe,
        time_doubts: tuple[TimeDoubt, ...] = (),
    ) -> ProbeSeries:
        """Make a series from SAMPLES rows and their corrected values [degC]."""
        seconds = samples["time"].to_numpy("datetime64[us]").astype(np.int64) / 1e6
        return cls(seconds, celsius.to_numpy(np.float64), probe, time_doubts)

    def reference(
        self, start: dt.datetime, minutes: float, *, own_time: bool = False, doubts: Sequence[Doubt] = ()
    ) -> Reference | None:
        """Return the reference over ``[start, start + minutes]``, or None where the record can't carry one.

        Parameters
        ----------
        start : datetime
            Aware instant.
        minutes : float
            Length of the span [min].
        own_time : bool
            The span surrounds a reading's noted time; otherwise the reading was taken somewhere in it, and
            how far the air wandered within it counts in full.
        doubts : sequence of Doubt
            Doubted spans; each that overlaps adds its own line.
        """
        first, last = start.timestamp(), start.timestamp() + 60.0 * minutes
        lo = max(int(np.searchsorted(self.seconds, first, "right")) - 1, 0)
        hi = min(int(np.searchsorted(self.seconds, last, "left")) + 1, self.seconds.size)
        t, y = self.seconds[lo:hi], self.celsius[lo:hi]
        if t.size < 2 or t[0] > first or t[-1] < last or np.diff(t).max() > LONGEST_GAP_S:
            return None
        inner = (t > first) & (t < last)
        nodes = np.concatenate(([first], t[inner], [last]))
        line = np.interp(nodes, t, y)
        value = float(np.trapezoid(line, nodes) / (last - first))
        slope, spread, effective = _wander(t[inner], y[inner])
        touched = [d for d in doubts if d.start.timestamp() < last and d.end.timestamp() > first]
        half_min = NOTED_TIME_HALF_WIDTH_MIN if own_time else minutes / 2.0
        u_stamps_s = max(
            (d.u_s for d in self.time_doubts if d.start.timestamp() <= last and d.end.timestamp() >= first),
            default=0.0,
        )
        time_doubt_min = math.hypot(
            half_min / math.sqrt(3.0), self.probe.time_constant_s / 60.0, u_stamps_s / 60.0
        )
        dof = max(effective - 1.0, 1.0)
        lines = [
            *shared_lines(self.probe),
            rectangular("resolution", self.probe.resolution_c / 2.0),
            Component("window scatter", spread / math.sqrt(max(effective, 1.0)), dof=dof),
            Component("timing", abs(slope) * 60.0 * time_doubt_min),
        ]
        if not own_time:
            # the reading's own minute is unknown, so the wander about the trend is its doubt; the record
            # shows that wander whole, so it is known and not estimated from a few draws
            lines.append(Component("moment", spread))
        lines += [Component(d.kind, d.u_c) for d in touched]
        return Reference(value, Budget(tuple(lines)), tuple(dict.fromkeys(d.kind for d in touched)))


def shared_lines(probe: Probe) -> tuple[Component, ...]:
    """Return the budget lines that every reference of one probe shares: probe limits or correction, place.

    A probe never checked has the maker's limits in full; a checked one has the uncertainty of its
    correction instead (JCGM 100:2008, 4.3.7 and F.2.4).
    """
    if probe.u_correction_c is None:
        own = rectangular("probe limits", probe.accuracy_c)
    else:
        own = Component("correction", probe.u_correction_c)
    return own, rectangular("place", PLACE_HALF_WIDTH_C)


def _wander(t: Floats, y: Floats) -> tuple[float, float, float]:
    """Return slope [degC/s], spread about the trend [degC] and effective number of samples.

    Fewer than four samples show no scatter of their own; the trend is then the plain line through them.
    """
    if t.size < 2:
        return 0.0, 0.0, 1.0
    x = t - t.mean()
    slope = float(x @ (y - y.mean()) / (x @ x))
    if t.size < 4:
        return slope, 0.0, float(t.size)
    residual = y - y.mean() - slope * x
    spread = math.sqrt(float(residual @ residual) / (t.size - 2))
    return slope, spread, series_mean(residual).n_effective
