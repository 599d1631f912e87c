"""Cards typed under a wrong date: they fit another day and their own place there is empty.

A team that has two cards in one session almost surely has one of another day among them; where it has one
card only, two cards of the day or another team with the same two dates must agree.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from station.findings.evidence import SCATTER_C, Evidence
from station.findings.likelihood import WANDER_C
from station.findings.rematch import Match

Floats = npt.NDArray[np.float64]

#: Chance that a second card of a session belongs to another day, and that a lone one does (guesses).
TWIN, LONE = 0.8, 0.0005
#: Chance that a card went along when another team's was misdated the same way.
ALONG = 0.3
#: No card speaks louder than this against a move, and than this for one [nats].
AGAINST, FOR = 3.0, 12.0
#: A lone card of the same day may have stayed where it is, which costs this [nats].
STAYS = -1.0
#: Cards on either side that tell the pile a card was typed with, and how much that counts [nats].
AROUND, PILE = 5, 4.0
#: A move is asked about from this probability.
ASKED = 0.8
#: Sessions whose centre is less certain say nothing [degC].
DOUBTFUL_C = 4.0


@dataclass(frozen=True)
class _Option:
    """Cards of one team typed on one date that may belong to another: per part row, target, gain, twin."""

    team: int
    typed: object
    true: object
    cards: tuple[tuple[int, int, float, bool], ...]

    @property
    def twin(self) -> bool:
        return any(twin for _, _, _, twin in self.cards)

    @property
    def score(self) -> float:
        return sum(gain if twin else max(gain, STAYS) for _, _, gain, twin in self.cards)

    @property
    def moving(self) -> tuple[tuple[int, int, float, bool], ...]:
        return tuple(card for card in self.cards if card[2] > 0.0)


def wrong_dates(e: Evidence, at_home: Floats, usual_c: Floats) -> tuple[Match, ...]:
    """Return cards that fit another date's session better and whose own cell there is empty.

    Parameters
    ----------
    e : Evidence
    at_home : ndarray, shape (n,)
        Log probability of each reading where it is typed, over all causes.
    usual_c : ndarray, shape (n,)
        Usual bias of the reading's team [degC].
    """
    options = list(_options(e, at_home, usual_c))
    together: dict[tuple[object, object], list[_Option]] = {}
    for option in options:
        together.setdefault((option.typed, option.true), []).append(option)
    by_team: dict[tuple[int, object], list[_Option]] = {}
    for option in options:
        by_team.setdefault((option.team, option.typed), []).append(option)
    asked: list[tuple[float, _Option]] = []
    for mine in by_team.values():
        p, option = _best(mine, together)
        if p >= ASKED and option.moving:
            asked.append((p, option))
    return tuple(_chosen(asked, e))


def _options(e: Evidence, at_home: Floats, usual_c: Floats) -> Iterable[_Option]:
    cells: dict[tuple[int, int], list[int]] = {}
    for i in np.flatnonzero(e.written).tolist():
        cells.setdefault((int(e.team[i]), int(e.session[i])), []).append(i)
    known = np.isfinite(e.centre) & (e.centre_u < DOUBTFUL_C)
    by_date: dict[object, dict[str, int]] = {}
    for s, (date, part) in enumerate(e.sessions):
        by_date.setdefault(date, {})[part] = s
    for team in range(len(e.teams)):
        empty: dict[object, dict[str, int]] = {}
        for v in np.flatnonzero(known).tolist():
            if (team, v) not in cells:
                date, part = e.sessions[v]
                empty.setdefault(date, {})[part] = v
        for typed, here in by_date.items():
            rows = {part: cells.get((team, s), []) for part, s in here.items()}
            for true, there in empty.items():
                if true == typed:
                    continue
                cards = []
                for part, mine in rows.items():
                    v = there.get(part, -1)
                    if v < 0:
                        continue
                    gains = [
                        (_gain(e, row, v, usual_c[row], at_home[row]) + _place(e.session, row, v), row)
                        for row in mine
                    ]
                    if gains:
                        gain, row = max(gains)
                        cards.append((row, v, gain, len(mine) > 1))
                if cards:
                    yield _Option(team, typed, true, tuple(cards))


def _best(mine: list[_Option], together: dict[tuple[object, object], list[_Option]]) -> tuple[float, _Option]:
    """Return the most probable target of one team's cards of one date, and its probability."""
    twin = any(option.twin for option in mine)
    log_p = [np.log1p(-TWIN) if twin else np.log1p(-LONE)]
    for option in mine:
        same = together[option.typed, option.true]
        others = [other.score + np.log(ALONG) for other in same if other.team != option.team]
        support = sum(float(score) for score in others if score > 1.0)
        prior = np.log((TWIN if twin else LONE) / len(mine))
        if not twin and len(option.moving) < 2 and support == 0.0:
            prior = -np.inf
        log_p.append(option.score + prior + min(support, FOR))
    p = np.exp(np.array(log_p) - np.logaddexp.reduce(log_p))
    i = int(np.argmax(p[1:]))
    return float(p[i + 1]), mine[i]


def _chosen(asked: list[tuple[float, _Option]], e: Evidence) -> Iterable[Match]:
    """Take the most probable moves first; a card moves once and a cell is filled once."""
    used: set[tuple[int, int]] = set()
    for p, option in sorted(asked, key=lambda item: (-item[0], -item[1].score)):
        for row, v, _, _ in option.moving:
            if (option.team, v) not in used:
                used.add((option.team, v))
                yield Match("wrong_date", (row,), e.sessions[int(e.session[row])], e.sessions[v], p)


def _place(session: npt.NDArray[np.int64], row: int, target: int) -> float:
    """Return what a card's place in the file says [nats]: cards are typed pile by pile."""
    near = session[max(row - AROUND, 0) : row + AROUND + 1]
    here, there = int((near == session[row]).sum()) - 1, int((near == target).sum())
    return PILE * float(np.sign(there - here))


def _gain(e: Evidence, row: int, v: int, bias: float, at_home: float) -> float:
    """Return how much better a card fits as an honest one of session ``v`` than where it is typed [nats]."""
    mean = e.centre[v] + e.offset[row] + bias
    common = e.centre_u[v] ** 2 + WANDER_C**2
    var_c, var_f = (SCATTER_C**2 + mark[row] ** 2 / 12.0 for mark in (e.c_mark, e.f_mark))
    a, b = e.c[row] - mean, e.f[row] - mean
    det = common * (var_c + var_f) + var_c * var_f
    square = (common + var_f) * a * a - 2 * common * a * b + (common + var_c) * b * b
    cell_c, cell_f = np.log(e.c_mark[row]), np.log(e.f_mark[row])
    if np.isfinite(a) and np.isfinite(b):
        away = -0.5 * (square / det + np.log(det)) - np.log(2 * np.pi) + cell_c + cell_f
    elif np.isfinite(a):
        away = -0.5 * (a * a / (common + var_c) + np.log(2 * np.pi * (common + var_c))) + cell_c
    else:
        away = -0.5 * (b * b / (common + var_f) + np.log(2 * np.pi * (common + var_f))) + cell_f
    # a card may have slipped there as well as here
    return float(np.clip(away - at_home, -AGAINST, FOR))
