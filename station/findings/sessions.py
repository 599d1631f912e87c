"""What holds for a session as a whole: most teams off the same way, a number used twice, cards alike."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd
from scipy.special import gammaln

from station.findings.evidence import Evidence
from station.findings.kinds import Finding
from station.findings.sequential import CLASS_BUDGET

Floats = npt.NDArray[np.float64]
Key = tuple[object, str]

#: More than this share of teams off the same way by this much [degC]: the session is in doubt, not the teams.
WHOLE_SHARE, WHOLE_C = 0.7, 1.5
#: Two teams' cards are alike by this much more often than usual before it is said.
APART = 0.15
#: Fewest teams for the rule.
WHOLE_TEAMS = 5


@dataclass(frozen=True)
class NumberTrouble:
    """A reading whose thermometer number can't be: used twice in its session, or retired."""

    row: int
    why: str


def whole_class(e: Evidence) -> tuple[Key, ...]:
    """Return the sessions in which most teams miss the reference the same way."""
    out = []
    value = e.column - e.offset
    for s, key in enumerate(e.sessions):
        if not np.isfinite(e.told[s]):
            continue
        apart = value[(e.session == s) & np.isfinite(value)] - e.told[s]
        if apart.size < WHOLE_TEAMS:
            continue
        if max(np.mean(apart > WHOLE_C), np.mean(apart < -WHOLE_C)) > WHOLE_SHARE:
            out.append(key)
    return tuple(out)


def number_troubles(
    e: Evidence, readings: pd.DataFrame, retired: dict[str, object]
) -> tuple[NumberTrouble, ...]:
    """Return readings with a number used twice in one session or after it was retired."""
    out = []
    seen: dict[tuple[int, int], list[int]] = {}
    for i in np.flatnonzero(e.written & (e.number >= 0)).tolist():
        seen.setdefault((int(e.session[i]), int(e.number[i])), []).append(i)
    for rows in seen.values():
        if len({int(e.team[row]) for row in rows}) > 1:
            out += [NumberTrouble(row, "used twice") for row in rows]
    for row, (number, date) in enumerate(zip(readings["thermometer"], readings["date"], strict=True)):
        gone = retired.get(number)
        if gone is not None and date >= gone:
            out.append(NumberTrouble(row, "retired"))
    return tuple(sorted(out, key=lambda trouble: trouble.row))


def same_numbers(e: Evidence) -> Finding | None:
    """Return the class-level finding that cards look alike more often than chance, or None.

    Every two teams are compared with the class's own rate of identical cards, so that steady weather and
    honest agreement raise the yardstick along with the count.
    """
    n_sessions, n_teams = len(e.sessions), len(e.teams)
    card = np.full((n_teams, n_sessions, 2), np.nan)
    place = np.full((n_teams, n_sessions), -1, dtype=np.int64)
    both = np.isfinite(e.written_c) & np.isfinite(e.written_f)
    card[e.team[both], e.session[both], 0] = e.written_c[both]
    card[e.team[both], e.session[both], 1] = e.written_f[both]
    place[e.team[both], e.session[both]] = np.flatnonzero(both)
    counts = []
    for i in range(n_teams):
        for j in range(i + 1, n_teams):
            known = np.isfinite(card[i, :, 0]) & np.isfinite(card[j, :, 0])
            same = known & (card[i] == card[j]).all(axis=1)
            counts.append((i, j, int(known.sum()), int(same.sum()), same))
    seen = [c for c in counts if c[2] >= 10]
    if len(seen) < 6:
        return None
    share = float(np.quantile([c[3] / c[2] for c in seen], 0.75)) + 0.02
    limit = np.log(len(seen) / CLASS_BUDGET)
    rows: list[int] = []
    for i, j, n, k, same in seen:
        # a rate above the usual one, averaged over a flat prior: an e-value of the pair
        log_e = _log_beta(k + 1, n - k + 1) - k * np.log(share) - (n - k) * np.log(1 - share)
        if k / n > share + APART and log_e > limit:
            rows += [*place[i, same].tolist(), *place[j, same].tolist()]
    if not rows:
        return None
    return Finding("same_numbers", "sharing", "", "worth a look", 0.99, tuple(sorted(set(rows))))


def _log_beta(a: float, b: float) -> float:
    return float(gammaln(a) + gammaln(b) - gammaln(a + b))
