"""Shadows written down: in shadow.csv at a time, in sessions.csv for a session."""

from __future__ import annotations

import datetime as dt

import pandas as pd

from station.base.time import to_utc
from station.record.columns import TABLES, empty
from station.record.model import Sessions, Site


def shadows(shadow: pd.DataFrame, held: pd.DataFrame, site: Site, sessions: Sessions) -> pd.DataFrame:
    """Return all notes as ``time, shadow``; a session's note belongs to its middle.

    Parameters
    ----------
    shadow, held
        The tables ``shadow`` and ``sessions`` of a recording.
    """
    parts = {p.name: p for p in sessions.parts}
    rows = []
    for date, name, answer in held[["date", "session", "shadow"]].itertuples(index=False):
        if name in parts and isinstance(answer, str) and answer:
            start = to_utc(date, parts[name].start, site.zone)
            rows.append((start + dt.timedelta(minutes=parts[name].minutes / 2), answer))
    extra = empty(TABLES["shadow"])
    if rows:
        extra = pd.DataFrame(rows, columns=["time", "shadow"]).astype(dict(TABLES["shadow"]))
    return pd.concat([shadow[["time", "shadow"]], extra], ignore_index=True)
