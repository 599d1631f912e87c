"""The book as frames: what every computation starts from."""

from __future__ import annotations

import sqlite3

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from station.record.columns import READINGS, SAMPLES, Frames, check, empty
from station.record.model import Problem, TimeDoubt
from station.store import entries
from station.store.clock import ARRIVAL_S
from station.store.samples import instant, packed, placed, placements

#: Air changes by some 0.02 degC in a minute, so a stamp uncertain by less than this is nothing beside the
#: probe's own time constant of a minute, s.
_NOTICED_S = 5.0


def frames(sql: sqlite3.Connection) -> Frames:
    """Return everything in the book; stretches of an open clock are told as problems."""
    probes: dict[str, pd.DataFrame] = {}
    weather = empty(SAMPLES)
    for number, kind, name in sql.execute("SELECT id, kind, name FROM series ORDER BY name").fetchall():
        time, celsius, _ = _series(sql, number)
        frame = check(pd.DataFrame({"time": _utc(time), "celsius": celsius}), SAMPLES, name or kind)
        if kind == "probe":
            probes[name] = frame
        else:
            weather = frame
    readings = entries.readings(sql)[list(READINGS)]
    tables = {name: entries.table(sql, name) for name in entries.present(sql)}
    doubts = _time_doubts(time_uncertainty(sql, ""))
    return Frames(probes, readings, weather, tables, tuple(_open_spans(sql)), doubts)


def time_uncertainty(sql: sqlite3.Connection, probe: str) -> pd.DataFrame:
    """Return ``time`` and ``u_time_s`` of each sample of a probe, in order of time."""
    row = sql.execute("SELECT id FROM series WHERE kind = 'probe' AND name = ?", (probe,)).fetchone()
    if row is None:
        return pd.DataFrame({"time": _utc(np.empty(0, np.int64)), "u_time_s": np.empty(0)})
    time, _, u_time = _series(sql, row[0])
    return pd.DataFrame({"time": _utc(time), "u_time_s": u_time})


def _time_doubts(samples: pd.DataFrame) -> tuple[TimeDoubt, ...]:
    """Return the spans of samples whose stamps are uncertain by more than a reference would notice."""
    open_ = (samples["u_time_s"] > _NOTICED_S).to_numpy()
    edges = np.flatnonzero(np.diff(np.concatenate(([False], open_, [False])).astype(np.int8)))
    time, u_s = samples["time"], samples["u_time_s"].to_numpy()
    return tuple(
        TimeDoubt(time[first].to_pydatetime(), time[last - 1].to_pydatetime(), float(u_s[first:last].max()))
        for first, last in edges.reshape(-1, 2)
    )


def _series(
    sql: sqlite3.Connection, number: int
) -> tuple[NDArray[np.int64], NDArray[np.float64], NDArray[np.float64]]:
    """Return time, celsius and u_time of a series in order of time, the first sample of each instant."""
    samples = packed(sql, number)
    time, u_time = placed(samples, placements(sql))
    order = np.argsort(time, kind="stable")
    time = time[order]
    keep = np.ones(len(time), np.bool_)
    keep[1:] = time[1:] != time[:-1]
    return time[keep], samples.celsius[order][keep], u_time[order][keep]


def _utc(time: NDArray[np.int64]) -> pd.DatetimeIndex:
    return pd.DatetimeIndex(time.view("M8[us]")).tz_localize("UTC")


def _open_spans(sql: sqlite3.Connection) -> list[Problem]:
    found = []
    for span, placement in placements(sql).values():
        open_s = placement.half_width / 1e6
        if open_s > 2 * ARRIVAL_S:
            found.append(
                Problem(
                    "book",
                    0,
                    f"the computer's clock jumped between {instant(span.start):%Y-%m-%d %H:%M} and "
                    f"{instant(span.end):%Y-%m-%d %H:%M} UTC and nothing tells which side was right: "
                    f"these stamps may be off by {open_s:.1f} s",
                )
            )
    return found
