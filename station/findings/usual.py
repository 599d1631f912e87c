"""What is usual for a team, so that single readings are compared with the team's own way of reading."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from station.base.robust import madn
from station.findings import habits
from station.findings.evidence import SCATTER_C, Evidence
from station.findings.likelihood import WANDER_C
from station.findings.mistakes import Causes, posterior

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]

#: Scatter of one scale for a team that rounds to fives: a rectangle of 5 degC [degC].
FIVES_C = 5.0 / math.sqrt(12.0)
#: A team whose readings spread more than this [degC] is taken by the shortest half of them, so that a habit
#: of every second or third session doesn't pass for its bias.
ERRATIC_C = 0.8
#: A bias so far from where most of a team's readings stand was pulled there by the others [degC].
PULLED_C = 0.6
#: Share of readings at the expected column from which the others are taken for a habit of some sessions.
HOME_SHARE = 0.2
#: A bias beyond this is believed only where both scales agree within that [degC].
FAR_C, AGREE_C = 2.0, 1.6
#: Readings farther than this from a team's own way don't tell its spread [degC].
NEAR_C = 1.2
#: Fewest readings of a segment that tell its own way.
FEWEST = 8
#: Least wander about the line of a team that reads too soon [degC]: minutes waited differ.
SOON_C = 0.5


@dataclass(frozen=True)
class Usual:
    """What is usual for each reading's team, shape (n,).

    ``bias``, ``wander`` about it and ``scatter`` of one scale [degC]; ``rounds``: the team rounds to fives.
    """

    bias: Floats
    wander: Floats
    scatter: Floats
    rounds: Bools

    @classmethod
    def of_teams(cls, e: Evidence, bias: Floats, spread: Floats, piece: Ints) -> Usual:
        """Take bias and spread of each reading's team [degC] from the crossed fit, by segment."""
        extra = np.nan_to_num(spread) ** 2 - SCATTER_C**2 - e.c_mark**2 / 12.0
        wander = np.sqrt(np.clip(extra, WANDER_C**2, None))
        bias = bias.copy()
        away = e.column - e.expected
        for code in np.unique(piece[np.abs(bias) > FAR_C]):
            rows = np.flatnonzero((piece == code) & e.written)
            agree = rows[np.abs(e.c[rows] - e.f[rows]) < AGREE_C]
            # a bias is of the column, so both scales must show it; a sign lost on one scale is no bias
            bias[rows] = float(np.median(away[agree])) if agree.size >= FEWEST else 0.0
            wander[rows] = max(madn(away[agree]), WANDER_C) if agree.size >= FEWEST else WANDER_C
        return cls(bias, wander, np.full(bias.size, SCATTER_C), np.zeros(bias.size, dtype=bool))

    def causes(self, e: Evidence) -> Causes:
        """Return the causes of all readings, given what is usual."""
        return posterior(e, self.bias, self.wander, self.scatter, self.rounds)


def learn(e: Evidence, common: Usual, piece: Ints, carried: bool) -> tuple[Evidence, Causes, Usual]:
    """Let each team's own way explain its readings, then ask for the causes again.

    A team that converts has not read the F plate, so that a slipped plate is not taken out of its F.
    """
    causes = common.causes(e)
    bias, wander = common.bias.copy(), common.wander.copy()
    scatter, rounds = common.scatter.copy(), common.rounds.copy()
    f = e.f.copy()
    away = e.column - e.expected
    # another team's card explains a pair that stands by its class, which the team's own way may do as well
    slip = 1.0 - np.nan_to_num(causes.honest) - causes.of("column") - causes.of("another_card")
    for team in range(len(e.teams)):
        rows = habits.team_rows(e, team)
        if habits.found(e, habits.rounded(e, rows, common.bias)):
            scatter[rows], rounds[rows], wander[rows] = FIVES_C, True, WANDER_C
            continue
        trace = habits.converted(e, rows)
        if habits.found(e, trace):
            shown = trace.rows[trace.shows]
            f[shown] = (e.written_f[shown] - 32.0) / 1.8
        for part in habits.pieces(piece, rows):
            soon = habits.read_too_soon(e, causes, part) if carried else None
            if soon is not None:
                mine = np.array(soon.rows, dtype=np.int64)
                line = habits.robust_line(e.gap[mine], away[mine])
                if line is not None:
                    bias[part] = line[0] + line[1] * e.gap[part]
                    wander[part] = max(madn(away[mine] - bias[mine]), SOON_C)
                continue
            mine = part[(slip[part] < 0.5) & np.isfinite(away[part]) & ~e.quiet[part]]
            mine = mine[~(np.abs(e.c[mine] - e.f[mine]) >= 2.0 * AGREE_C)]
            if mine.size >= FEWEST:
                middle, spread = _own_way(away[mine])
                if madn(away[mine]) > ERRATIC_C or abs(middle - bias[mine[0]]) > PULLED_C:
                    bias[part] = middle
                wander[part] = math.sqrt(max(spread**2 - SCATTER_C**2, WANDER_C**2))
    learnt = Usual(bias, wander, scatter, rounds)
    told = replace(e, f=f)
    return told, learnt.causes(told), learnt


def _own_way(away: Floats) -> tuple[float, float]:
    """Return centre and spread of a team's own way about the expected column [degC].

    Readings that jump between two places, one of them the expected column, come from a habit of some
    sessions: then the others are the team's own way. Else it is the shortest half of all.
    """
    at_home = away[np.abs(away) < ERRATIC_C]
    if madn(away) > ERRATIC_C and at_home.size >= HOME_SHARE * away.size:
        return float(np.median(at_home)), max(madn(at_home), SCATTER_C)
    ordered = np.sort(away)
    half = ordered.size // 2 + 1
    widths = ordered[half - 1 :] - ordered[: ordered.size - half + 1]
    start = int(np.argmin(widths))
    centre = float(np.mean(ordered[start : start + half]))
    near = away[np.abs(away - centre) < NEAR_C]
    # the shortest half of a normal is 1.349 standard deviations wide
    spread = madn(near) if near.size >= half else float(widths[start]) / 1.349
    return centre, spread
