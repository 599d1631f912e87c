"""Batches of cards typed under the other half-day.

A batch is compared with its own session and with the other; it moves only if it fits there much better, and
never silently: the finding is a question. Single cards under a wrong date are in ``misdated``.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from station.base.robust import madn
from station.findings.evidence import HONEST_C, Evidence

Floats = npt.NDArray[np.float64]
Key = tuple[object, str]

#: Log odds against a crossed day before looking (guess).
CROSSED_PRIOR = np.log(0.02)
#: So seldom does a reference miss by so much more [degC] unsaid: unseen sun, an unseen clock (guess).
AMISS, AMISS_C = 0.02, 1.5
#: Where nothing is known of a session's air [degC].
UNKNOWN_C = 5.0


@dataclass(frozen=True)
class Match:
    """Readings that belong to another session: positions -> its key, and how probable the move is."""

    kind: str
    rows: tuple[int, ...]
    typed: Key
    true: Key
    probability: float


def crossed_days(e: Evidence) -> tuple[Match, ...]:
    """Return the batches whose two half-days look crossed, two matches a day (there and back)."""
    value = e.column - e.offset
    found: list[Match] = []
    index = {key: s for s, key in enumerate(e.sessions)}
    for date in sorted({key[0] for key in e.sessions}, key=str):
        keys = [key for key in e.sessions if key[0] == date]
        if len(keys) != 2:
            continue
        a, b = (index[key] for key in keys)
        rows = [np.flatnonzero((e.session == s) & np.isfinite(value)) for s in (a, b)]
        if min(r.size for r in rows) < 3 or not np.isfinite(e.told[[a, b]]).any():
            continue
        gain = 0.0
        closer = []
        for mine, own, other in ((value[rows[0]], a, b), (value[rows[1]], b, a)):
            pile = float(np.median(mine)), max(madn(mine), HONEST_C) / math.sqrt(mine.size)
            fits = [_fit(*pile, float(e.told[s]), float(e.told_u[s]), value) for s in (own, other)]
            gain += fits[1] - fits[0]
            if np.isfinite(e.told[[own, other]]).all():
                closer.append(float(np.mean(np.abs(mine - e.told[other]) < np.abs(mine - e.told[own]))))
        log_odds = gain + CROSSED_PRIOR
        # a spread-out class has many readings near neither; half of them must be nearer the other half-day
        if log_odds > np.log(20.0) and min(closer, default=1.0) >= 0.5:
            p = float(1.0 / (1.0 + np.exp(-log_odds)))
            for moving, typed, true in ((rows[0], keys[0], keys[1]), (rows[1], keys[1], keys[0])):
                found.append(Match("wrong_half_day", tuple(moving.tolist()), typed, true, p))
    return tuple(found)


def _fit(middle: float, u: float, told: float, told_u: float, everything: Floats) -> float:
    """Return the log density of a pile's middle about what the reference tells, or about nothing much.

    The whole pile shares one reference, so it is the middle that speaks, and a reference in doubt (sun, a
    step, the clock) speaks as low as its doubt is large.
    """
    if not math.isfinite(told):
        return _log_normal(middle - float(np.nanmedian(everything)), UNKNOWN_C)
    spread, apart = math.hypot(u, told_u), middle - told
    usual, amiss = _log_normal(apart, spread), _log_normal(apart, math.hypot(spread, AMISS_C))
    return float(np.logaddexp(usual + math.log(1.0 - AMISS), amiss + math.log(AMISS)))


def _log_normal(apart: float, spread: float) -> float:
    return -0.5 * (apart / spread) ** 2 - math.log(spread)


def moved(matches: tuple[Match, ...]) -> Mapping[int, Key]:
    """Return where each moved reading belongs."""
    return {row: match.true for match in matches for row in match.rows}
