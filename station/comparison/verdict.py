"""Inside, undecided or outside the accuracy band, from the conformance probability of JCGM 106:2012."""

from __future__ import annotations

import math
from typing import Literal

Verdict = Literal["inside", "undecided", "outside"]

#: Conformance probability from which a reading counts as inside, and below whose complement as outside;
#: the usual 95 % (JCGM 106:2012, 7.2 leaves the level to the user).
LEVEL = 0.95


def verdict(p_inside: float) -> Verdict | None:
    """Return the verdict of one conformance probability; None where there is none (NaN)."""
    if math.isnan(p_inside):
        return None
    if p_inside >= LEVEL:
        return "inside"
    return "outside" if p_inside <= 1.0 - LEVEL else "undecided"
