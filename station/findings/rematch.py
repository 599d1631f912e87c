"""Cards typed under another session: one mechanism for crossed half-days and for wrong dates.

A batch or a card is compared with its own session and with others; it moves only if it fits another much
better, and never silently: the finding is a question.
"""

from __future__ import annotations

import datetime as dt
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
#: How far dates are looked for [days].
REACH_DAYS = 45
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
        told = e.told[[a, b]]
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


def wrong_dates(e: Evidence, at_home: Floats, usual_c: Floats) -> tuple[Match, ...]:
    """Return rows that fit another date's session better and whose own cell there is empty.

    Parameters
    ----------
    e : Evidence
    at_home : ndarray, shape (n,)
        Log probability of each reading where it is typed, over all causes.
    usual_c : ndarray, shape (n,)
        Usual bias of the reading's team [degC].
    """
    filled = {(int(t), int(s)) for t, s, w in zip(e.team, e.session, e.written, strict=True) if w}
    count: dict[tuple[int, int], int] = {}
    for t, s, w in zip(e.team, e.session, e.written, strict=True):
        count[int(t), int(s)] = count.get((int(t), int(s)), 0) + int(w)
    moves: dict[tuple[object, object], dict[int, list[tuple[int, int, float]]]] = {}
    both = np.isfinite(e.c) & np.isfinite(e.f)
    known = np.isfinite(e.centre) & (e.centre_u < 2.0)
    for s, (date, part) in enumerate(e.sessions):
        targets = [
            v
            for v, (other, p) in enumerate(e.sessions)
            if p == part and other != date and known[v] and abs(_days(date, other)) <= REACH_DAYS
        ]
        for row in np.flatnonzero((e.session == s) & both):
            team = int(e.team[row])
            twice = count[team, s] > 1
            for v in targets:
                if (team, v) in filled:
                    continue
                gain = _away(e, int(row), v, usual_c[row]) - at_home[row]
                gain = float(np.clip(gain, -LOUDEST, 2.0 * LOUDEST)) + (2.0 if twice else 0.0)
                moves.setdefault((date, e.sessions[v][0]), {}).setdefault(team, []).append(
                    (int(row), v, gain)
                )
    scored = []
    for (typed, true), by_team in moves.items():
        teams = {}
        for team, options in by_team.items():
            best = _one_per_session(options, e)
            total = sum(gain for _, _, gain in best)
            if total + ALONG > 0 and (len(best) > 1 or count[team, int(e.session[best[0][0]])] > 1):
                teams[team] = (best, total + ALONG)
        log_odds = sum(total for _, total in teams.values()) + MISDATED_PRIOR - np.log(30.0)
        if teams and log_odds > np.log(5.0):
            scored.append((log_odds, typed, true, teams))
    return _chosen(scored, e)


def _chosen(scored: list, e: Evidence) -> tuple[Match, ...]:  # type: ignore[type-arg]
    """Take the best moves first; a row moves once and a cell is filled once."""
    found: list[Match] = []
    used_rows: set[int] = set()
    used_cells: set[tuple[int, int]] = set()
    for log_odds, _typed, _true, teams in sorted(scored, key=lambda item: -item[0]):
        p = float(1.0 / (1.0 + np.exp(-log_odds)))
        for team, (best, _) in sorted(teams.items()):
            for row, v, gain in best:
                if row in used_rows or (team, v) in used_cells or gain < 1.0:
                    continue
                used_rows.add(row)
                used_cells.add((team, v))
                found.append(Match("wrong_date", (row,), e.sessions[int(e.session[row])], e.sessions[v], p))
    return tuple(found)


def _one_per_session(options: list[tuple[int, int, float]], e: Evidence) -> list[tuple[int, int, float]]:
    """Keep, for each target session, the row that gains most there."""
    best: dict[int, tuple[int, int, float]] = {}
    for option in options:
        if option[1] not in best or option[2] > best[option[1]][2]:
            best[option[1]] = option
    return [option for option in best.values() if option[2] > 0.0]


def _away(e: Evidence, row: int, v: int, bias: float) -> float:
    """Return the log probability of a reading as an honest one of session ``v``."""
    mean = e.centre[v] + e.offset[row] + bias
    common = e.centre_u[v] ** 2 + 0.3**2
    var_c, var_f = 0.35**2 + e.c_mark[row] ** 2 / 12.0, 0.35**2 + e.f_mark[row] ** 2 / 12.0
    a, b = e.c[row] - mean, e.f[row] - mean
    det = common * (var_c + var_f) + var_c * var_f
    square = ((common + var_f) * a * a - 2 * common * a * b + (common + var_c) * b * b) / det
    return float(
        -0.5 * (square + np.log(det)) - np.log(2 * np.pi) + np.log(e.c_mark[row]) + np.log(e.f_mark[row])
    )


def _days(one: object, other: object) -> int:
    assert isinstance(one, dt.date)
    assert isinstance(other, dt.date)
    return (one - other).days


def moved(matches: tuple[Match, ...]) -> Mapping[int, Key]:
    """Return where each moved reading belongs."""
    return {row: match.true for match in matches for row in match.rows}
