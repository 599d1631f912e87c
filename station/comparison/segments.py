"""A team between two changes: coaching, a new pair or one reader start a new segment."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

Ints = npt.NDArray[np.int64]


@dataclass(frozen=True)
class Segments:
    """Which segment each reading belongs to.

    ``unit`` is the code per reading; ``table`` has one row a segment that holds readings: ``team``,
    ``from``, ``to`` (dates of its first and last reading), ``change`` ("" for the first, else what
    started it); ``team_code`` is the position of the segment's team in ``teams`` (alphabetical).
    """

    unit: Ints
    table: pd.DataFrame
    team_code: Ints
    teams: tuple[str, ...]


def changes(coaching: pd.DataFrame, pairs: pd.DataFrame) -> pd.DataFrame:
    """Return every change of a team, ``team, date, change``: "coaching", "new pair" or "one reader"."""
    parts = [coaching[["team", "date"]].assign(change="coaching"), pairs[["team", "date", "change"]]]
    return pd.concat(parts, ignore_index=True)


def split(readings: pd.DataFrame, coaching: pd.DataFrame, pairs: pd.DataFrame) -> Segments:
    """Split each team's readings at its changes; a reading on the day of a change belongs after it.

    Parameters
    ----------
    readings : DataFrame
        READINGS rows (``team``, ``date`` are used).
    coaching, pairs : DataFrame
        Tables ``coaching`` (team, date, topic) and ``pairs`` (team, date, change).
    """
    starting = changes(coaching, pairs)
    teams = tuple(sorted(readings["team"].unique()))
    unit = np.zeros(len(readings), dtype=np.int64)
    rows: list[dict[str, object]] = []
    codes: list[int] = []
    for code, team in enumerate(teams):
        mine = np.flatnonzero((readings["team"] == team).to_numpy())
        dates = readings["date"].iloc[mine].to_numpy()
        own = starting[starting["team"] == team].sort_values("date", kind="stable")
        piece = np.searchsorted(np.array(sorted(set(own["date"])), dtype=object), dates, side="right")
        starts = ["", *(" and ".join(dict.fromkeys(g["change"])) for _, g in own.groupby("date"))]
        for p in np.unique(piece):
            inside = piece == p
            unit[mine[inside]] = len(rows)
            codes.append(code)
            rows.append(
                {"team": team, "from": dates[inside].min(), "to": dates[inside].max(), "change": starts[p]}
            )
    table = pd.DataFrame(rows, columns=["team", "from", "to", "change"])
    return Segments(unit, table, np.array(codes, dtype=np.int64), teams)
