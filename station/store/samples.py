"""Samples in a book: live rows, sealed UTC days, rejected lines, and the stretches of the host's clock.

A sealed day is one row: ``zlib`` over four arrays of one length, little-endian, one after the other: time
(int64, microseconds UTC as stamped), celsius (float64, degC), uptime (float64, s, NaN for none), u_time
(float32, s), span (int32, -1 for none).
"""

from __future__ import annotations

import datetime as dt
import math
import sqlite3
import zlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from station.base.exceptions import BookDamaged
from station.record.model import RejectedLine, Sample
from station.store.clock import ARRIVAL_S, Placement, Span, place

if TYPE_CHECKING:
    import pandas as pd

_EPOCH = dt.datetime(1970, 1, 1, tzinfo=dt.UTC)
_DAY = 86_400_000_000
_FIELDS = (("time", "<i8"), ("celsius", "<f8"), ("uptime", "<f8"), ("u_time", "<f4"), ("span", "<i4"))
_ROW = sum(np.dtype(kind).itemsize for _, kind in _FIELDS)


@dataclass(frozen=True)
class Packed:
    """Samples as arrays of one length; names and kinds as in a sealed day."""

    time: NDArray[np.int64]
    celsius: NDArray[np.float64]
    uptime: NDArray[np.float64]
    u_time: NDArray[np.float32]
    span: NDArray[np.int32]

    def pack(self) -> bytes:
        """Return the body of a sealed day."""
        arrays = (getattr(self, name).astype(kind).tobytes() for name, kind in _FIELDS)
        return zlib.compress(b"".join(arrays), 6)

    @classmethod
    def unpack(cls, body: bytes) -> Packed:
        """Return the samples of a sealed day.

        Raises
        ------
        BookDamaged
            The body is not what was packed.
        """
        try:
            raw = zlib.decompress(body)
        except zlib.error:
            raise BookDamaged("a sealed day is damaged; use the last backup") from None
        count, rest = divmod(len(raw), _ROW)
        if rest:
            raise BookDamaged("a sealed day is damaged; use the last backup")
        arrays, at = [], 0
        for _, kind in _FIELDS:
            arrays.append(np.frombuffer(raw, kind, count, at))
            at += count * np.dtype(kind).itemsize
        return cls(*arrays)

    @classmethod
    def of(cls, rows: Sequence[tuple[int, float, float | None, float, int | None]]) -> Packed:
        """Return rows of (time, celsius, uptime, u_time, span) as arrays."""
        time, celsius, uptime, u_time, span = zip(*rows, strict=True) if rows else ((),) * 5
        return cls(
            np.array(time, np.int64),
            np.array(celsius, np.float64),
            np.array([math.nan if value is None else value for value in uptime], np.float64),
            np.array(u_time, np.float32),
            np.array([-1 if value is None else value for value in span], np.int32),
        )

    @classmethod
    def joined(cls, parts: Iterable[Packed]) -> Packed:
        """Return several, one after the other."""
        parts = [cls.of([]), *parts]
        return cls(*(np.concatenate([getattr(part, name) for part in parts]) for name, _ in _FIELDS))


def micros(time: dt.datetime) -> int:
    """Return an aware instant as whole microseconds since 1970."""
    return (time - _EPOCH) // dt.timedelta(microseconds=1)


def instant(value: int) -> dt.datetime:
    """Return microseconds since 1970 as an instant."""
    return _EPOCH + dt.timedelta(microseconds=value)


def series_id(sql: sqlite3.Connection, kind: str, name: str) -> int:
    """Return the number of a series, made where it is new; call inside a write transaction."""
    sql.execute("INSERT OR IGNORE INTO series (kind, name) VALUES (?, ?)", (kind, name))
    return int(sql.execute("SELECT id FROM series WHERE kind = ? AND name = ?", (kind, name)).fetchone()[0])


def append(sql: sqlite3.Connection, samples: Sequence[Sample], rejected: Sequence[RejectedLine]) -> None:
    """Add samples, each to the probe named by its ``sensor``, and rejected lines."""
    for name in dict.fromkeys(sample.sensor for sample in samples):
        series = series_id(sql, "probe", name)
        sql.executemany(
            "INSERT INTO live (series, time, celsius, u_time, uptime, span) VALUES (?, ?, ?, ?, ?, ?)",
            [
                (series, micros(s.time), s.celsius, s.u_time_s, s.uptime_s, s.span)
                for s in samples
                if s.sensor == name
            ],
        )
    sql.executemany(
        "INSERT INTO rejected (time, line, reason) VALUES (?, ?, ?)",
        [(micros(line.time), line.line, line.reason) for line in rejected],
    )


def add_frame(sql: sqlite3.Connection, kind: str, name: str, frame: pd.DataFrame) -> None:
    """Add a frame of SAMPLES to a series, as sealed days."""
    series = series_id(sql, kind, name)
    time = frame["time"].dt.tz_localize(None).to_numpy("M8[us]").astype(np.int64)
    count = len(time)
    samples = Packed(
        time,
        frame["celsius"].to_numpy(np.float64),
        np.full(count, np.nan),
        np.zeros(count, np.float32),
        np.full(count, -1, np.int32),
    )
    _seal(sql, series, samples)


def last(sql: sqlite3.Connection, probe: str) -> Sample | None:
    """Return the sample of a probe that came last: of the live ones, else of the last sealed day."""
    row = sql.execute(
        "SELECT time, celsius FROM live JOIN series ON series.id = series WHERE kind = 'probe' AND name = ?"
        " ORDER BY live.id DESC LIMIT 1",
        (probe,),
    ).fetchone()
    if row is None:
        body = sql.execute(
            "SELECT body FROM day JOIN series ON series.id = series WHERE kind = 'probe' AND name = ?"
            " ORDER BY date DESC LIMIT 1",
            (probe,),
        ).fetchone()
        if body is None:
            return None
        sealed = Packed.unpack(body[0])
        at = int(np.argmax(sealed.time))
        row = (int(sealed.time[at]), float(sealed.celsius[at]))
    return Sample(instant(row[0]), row[1], probe)


def seal(sql: sqlite3.Connection, before: dt.date) -> int:
    """Move live rows of all UTC days before ``before`` into sealed days; return how many days."""
    end = micros(dt.datetime.combine(before, dt.time(), dt.UTC))
    days = 0
    for (series,) in sql.execute("SELECT DISTINCT series FROM live WHERE time < ?", (end,)).fetchall():
        rows = sql.execute(
            "SELECT time, celsius, uptime, u_time, span FROM live WHERE series = ? AND time < ? ORDER BY id",
            (series, end),
        ).fetchall()
        days += _seal(sql, series, Packed.of(rows))
        sql.execute("DELETE FROM live WHERE series = ? AND time < ?", (series, end))
    return days


def _seal(sql: sqlite3.Connection, series: int, samples: Packed) -> int:
    dates = samples.time // _DAY
    found = np.unique(dates)
    for date in found:
        text = (_EPOCH + dt.timedelta(days=int(date))).date().isoformat()
        here = dates == date
        part = Packed(*(getattr(samples, name)[here] for name, _ in _FIELDS))
        old = sql.execute("SELECT body FROM day WHERE series = ? AND date = ?", (series, text)).fetchone()
        if old is not None:
            part = Packed.joined([Packed.unpack(old[0]), part])
        sql.execute(
            "INSERT OR REPLACE INTO day (series, date, samples, body) VALUES (?, ?, ?, ?)",
            (series, text, len(part.time), part.pack()),
        )
    return len(found)


def packed(sql: sqlite3.Connection, series: int) -> Packed:
    """Return all samples of a series, sealed days first, as stamped."""
    sealed = sql.execute("SELECT body FROM day WHERE series = ? ORDER BY date", (series,))
    parts = [Packed.unpack(body) for (body,) in sealed]
    live = sql.execute(
        "SELECT time, celsius, uptime, u_time, span FROM live WHERE series = ? ORDER BY id", (series,)
    ).fetchall()
    return Packed.joined([*parts, Packed.of(live)])


def new_span(sql: sqlite3.Connection, start: int, step: int | None, boot: str, base: int) -> int:
    """Begin a stretch of the host's clock; return its number."""
    cursor = sql.execute(
        "INSERT INTO clock_span (start, end, step, boot, base) VALUES (?, ?, ?, ?, ?)",
        (start, start, step, boot, base),
    )
    assert cursor.lastrowid is not None
    return cursor.lastrowid


def extend_span(sql: sqlite3.Connection, span: int, end: int, confirmed: bool) -> None:
    """Say that a stretch lasted until ``end``; once confirmed, it stays so."""
    sql.execute(
        "UPDATE clock_span SET end = max(end, ?), confirmed = max(confirmed, ?) WHERE id = ?",
        (end, int(confirmed), span),
    )


def placements(sql: sqlite3.Connection) -> dict[int, tuple[Span, Placement]]:
    """Return each stretch of the host's clock with the shift of its stamps and what is open."""
    rows = sql.execute("SELECT id, start, end, step, confirmed FROM clock_span ORDER BY id").fetchall()
    spans = [Span(start, end, step, bool(confirmed)) for _, start, end, step, confirmed in rows]
    return {row[0]: (span, placed) for row, span, placed in zip(rows, spans, place(spans), strict=True)}


def placed(
    samples: Packed, spans: dict[int, tuple[Span, Placement]]
) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
    """Return true times [microseconds UTC] of samples and their standard uncertainty [s]."""
    if not spans:
        return samples.time, samples.u_time.astype(np.float64)
    shift = np.zeros(max(spans) + 2, np.int64)  # by span; the last stands for "none", which is -1
    open_s = np.zeros(max(spans) + 2)
    for number, (_, placement) in spans.items():
        shift[number] = placement.shift
        open_s[number] = placement.half_width / 1e6 - ARRIVAL_S
    u_open = open_s[samples.span] / math.sqrt(3.0)  # rectangular, JCGM 100 4.3.7
    return samples.time + shift[samples.span], np.hypot(samples.u_time, u_open)
