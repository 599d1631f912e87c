"""Invented classes for the crossed fit: everybody's share is known."""

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class Invented:
    team_c: np.ndarray
    offset_c: np.ndarray
    y: np.ndarray
    session: np.ndarray
    team: np.ndarray
    number: np.ndarray
    slip: np.ndarray
    counts: tuple


def invent(seed, sessions=20, teams=14, numbers=16, slips=0.0, rest=0.42, far=False):
    """Return a class whose thermometers are drawn anew in every session."""
    rng = np.random.default_rng(seed)
    team_c, offset_c = rng.normal(0, 0.2, teams), rng.normal(0, 0.3, numbers)
    if far:
        team_c[0], offset_c[0] = 1.0, 1.6
    shared = rng.normal(0.3, 0.4, sessions)
    session, team = np.divmod(np.arange(sessions * teams), teams)
    number = np.concatenate([rng.permutation(numbers)[:teams] for _ in range(sessions)])
    y = shared[session] + team_c[team] + offset_c[number] + rng.normal(0, rest, session.size)
    slip = rng.random(session.size) < slips
    y = y + np.where(slip, rng.choice([-10.0, 10.0], session.size), 0.0)
    return Invented(team_c, offset_c, y, session, team, number, slip, (sessions, teams, numbers))
