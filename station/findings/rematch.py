"""Batches of cards typed under the other half-day.

A batch is compared with its own session and with the other; it moves only if it fits there much better, and
never silently: the finding is a question. Single cards under a wrong date are in ``misdated``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from station.findings.evidence import HONEST_C, Evidence

Floats = npt.NDArray[np.float64]
Key = tuple[object, str]

#: Log odds against a crossed day and against rows of a date typed under another one, before looking (guess).
CROSSED_PRIOR, MISDATED_PRIOR = np.log(0.01), np.log(0.002)
#: Log chance that one team's card went along when others were misdated the same way.
ALONG = np.log(0.3)
#: No single reading speaks louder than this [nats], so that one slip can't move a batch.
LOUDEST = 6.0
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
        # a reference in doubt (sun, a step, the clock) tells nothing of whose cards these are
        told = np.array([np.nan if e.quiet[e.session == s].any() else e.told[s] for s in (a, b)])
        rows = [np.flatnonzero((e.session == s) & np.isfinite(value)) for s in (a, b)]
        if min(r.size for r in rows) < 3 or not np.isfinite(told).any():
            continue
        gain = 0.0
        closer = []
        for mine, own, other in ((rows[0], told[0], told[1]), (rows[1], told[1], told[0])):
            there, here = _fit(value[mine], other, value), _fit(value[mine], own, value)
            gain += float(np.clip(there - here, -LOUDEST, LOUDEST).sum())
            closer.append(float(np.mean(there > here)))
        log_odds = gain + CROSSED_PRIOR
        # a spread-out class has many readings near neither; most must be nearer the other half-day
        if log_odds > np.log(20.0) and min(closer) >= 0.6:
            p = float(1.0 / (1.0 + np.exp(-log_odds)))
            for mine, typed, true in ((rows[0], keys[0], keys[1]), (rows[1], keys[1], keys[0])):
                found.append(Match("wrong_half_day", tuple(mine.tolist()), typed, true, p))
    return tuple(found)


def _fit(value: Floats, told: float, everything: Floats) -> Floats:
    """Return the log density of values about what the reference tells, or about nothing much."""
    centre = told if np.isfinite(told) else float(np.nanmedian(everything))
    spread = 1.5 * HONEST_C if np.isfinite(told) else UNKNOWN_C
    return np.asarray(-0.5 * ((value - centre) / spread) ** 2 - np.log(spread))


def moved(matches: tuple[Match, ...]) -> Mapping[int, Key]:
    """Return where each moved reading belongs."""
    return {row: match.true for match in matches for row in match.rows}
