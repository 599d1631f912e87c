"""How far each reading's F plate may be off while too few readings of its thermometer have shown it."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt
from scipy.special import logsumexp

from station.findings.evidence import SCATTER_C, Evidence

Floats = npt.NDArray[np.float64]

#: Slips of a plate tried [degC], and the share of thermometers with one (guess: one box in three has one).
SLIPS_C = np.concatenate(([0.0], np.arange(-4.0, -0.9, 0.5), np.arange(1.0, 4.1, 0.5)))
SLIPPED = 0.025
#: A misread scale says nothing of the plate; such a share of two-scale differences, over such a range [degC].
MISREAD, RANGE_C = 0.1, 40.0


def log_plates(e: Evidence) -> Floats:
    """Return the log probability of each of ``SLIPS_C`` for each reading, shape (n, slips).

    It is learnt from the other readings of the same thermometer, so that a reading never excuses itself; a
    known slip has been taken out of ``e.f`` already. Without a number any thermometer is possible.
    """
    prior = np.full(SLIPS_C.size, math.log(SLIPPED / (SLIPS_C.size - 1)))
    prior[0] = math.log1p(-SLIPPED)
    difference = e.c - e.f
    spread = np.sqrt(2.0 * SCATTER_C**2 + e.c_mark**2 / 12.0 + e.f_mark**2 / 12.0)
    z = (difference[:, None] - SLIPS_C) / spread[:, None]
    normal = np.exp(-0.5 * z**2) / (spread[:, None] * math.sqrt(2.0 * math.pi))
    each = np.log((1.0 - MISREAD) * normal + MISREAD / RANGE_C)
    each[~np.isfinite(difference)] = 0.0
    out = np.tile(prior, (e.c.size, 1))
    for number in range(len(e.numbers)):
        mine = np.flatnonzero(e.number == number)
        out[mine] += each[mine].sum(axis=0) - each[mine]
    share = len(e.plates) / max(len(e.numbers), 1)
    for plate_c in e.plates:
        nearest = int(np.argmin(np.abs(SLIPS_C - plate_c)))
        out[e.number < 0, nearest] = math.log(share / len(e.plates))
    return np.asarray(out - logsumexp(out, axis=1, keepdims=True))
