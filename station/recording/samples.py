"""A probe's file, or the region's, as a frame in order of time; made for tens of millions of rows.

A block of lines is cut into columns by numpy, and stamps and values of the usual shape are read together.
Whatever does not fit that shape goes through the slow reader one row at a time, with the same result. An
empty value cell is no value: the row is listed as such and is not used.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from station.base.exceptions import BadEntry
from station.base.stamps import parse_block, parse_stamp
from station.base.temperature import value_c_from_f, value_c_from_k
from station.base.time import SECOND, Micros, from_local, second_passing
from station.record.columns import SAMPLES, check
from station.record.entry import parse, shown
from station.recording.decimals import decimals, without_unit
from station.recording.lines import LONGEST, Block, Header, Progress, aligned, blocks, decode, header, split
from station.recording.problems import LISTED, Problems, no_column

Floats = NDArray[np.float64]

_UNITS = {"celsius": "C", "fahrenheit": "F", "kelvin": "K"}
_STEP = 1 << 20  # rows converted at once, to bound the memory of temporaries


@dataclass(frozen=True)
class _Rows:
    """Rows read: time in microseconds, whether that is UTC, value in degC, line of the file."""

    time: Micros
    aware: NDArray[np.bool_]
    celsius: Floats
    line: NDArray[np.int32]

    def where(self, keep: NDArray[np.bool_] | NDArray[np.int64]) -> _Rows:
        """Return some rows."""
        return _Rows(self.time[keep], self.aware[keep], self.celsius[keep], self.line[keep])


def read_samples(
    path: Path, zone: ZoneInfo, problems: Problems, progress: Progress | None = None
) -> pd.DataFrame:
    """Return SAMPLES of one file; rows that were not used as written go to ``problems``.

    Raises
    ------
    UnusableInput
        The file cannot be read, or its header names no time or no temperature.
    """
    reader: _Reader | None = None
    parts: list[_Rows] = []
    for block in blocks(path, progress):
        body = block
        if reader is None:
            head, body = _head(block)
            if head is None:
                continue
            reader = _Reader(head, problems)
        parts.append(reader.rows(body))
    rows = _in_order(_to_utc(_joined(parts), zone, problems), problems)
    time = pd.DatetimeIndex(rows.time.view("M8[us]")).tz_localize("UTC")
    return check(pd.DataFrame({"time": time, "celsius": rows.celsius}, copy=False), SAMPLES, path.name)


def _joined(parts: list[_Rows]) -> _Rows:
    """Join blocks into one; the list is emptied."""
    size = sum(len(part.time) for part in parts)
    whole = _Rows(
        np.empty(size, np.int64), np.empty(size, np.bool_), np.empty(size), np.empty(size, np.int32)
    )
    while parts:
        part = parts.pop()
        start = size - len(part.time)
        whole.time[start:size], whole.aware[start:size] = part.time, part.aware
        whole.celsius[start:size], whole.line[start:size] = part.celsius, part.line
        size = start
    return whole


def _head(block: Block) -> tuple[Header | None, Block]:
    """Split a block after its first line that is not blank."""
    at, number = 0, block.first
    while at < len(block.data):
        end = block.data.index(b"\n", at)
        if block.data[at:end].strip():
            return header(block.data[at:end], number), Block(block.data[end + 1 :], number + 1)
        at, number = end + 1, number + 1
    return None, block


class _Reader:
    """Turns blocks of one file into rows; knows the file's columns."""

    def __init__(self, head: Header, problems: Problems) -> None:
        found = [name for name in _UNITS if name in head.names]
        missing = "time" if "time" not in head.names else "celsius" if not found else ""
        if missing:
            raise no_column(problems.file, head.line, missing, head.text)
        self.problems = problems
        self.separator, self.width = head.separator, len(head.names)
        self.time_at, self.value_at = head.names.index("time"), head.names.index(found[0])
        self.name, self.unit = found[0], _UNITS[found[0]]
        unused = [name for name in head.names if name not in ("time", self.name) and name]
        if unused:
            problems.add(head.line, f"not used: column {', '.join(map(shown, unused))}")

    def rows(self, block: Block) -> _Rows:
        """Return the rows of one block."""
        raw = np.frombuffer(block.data + bytes(64), dtype=np.uint8)  # room for windows at the end
        ends = np.flatnonzero(raw == 10)
        starts = np.concatenate(([0], ends + 1))[:-1]
        micros, aware, celsius, good = self._together(raw, starts, ends, b'"' in block.data)
        if not good.all():
            self._singly(block, starts, ends, (micros, aware, celsius, good))
        line = np.arange(block.first, block.first + len(ends), dtype=np.int32)
        if self.unit == "F":
            celsius = value_c_from_f(celsius)
        elif self.unit == "K":
            celsius = value_c_from_k(celsius)
        rows = _Rows(micros, aware, celsius, line)
        return rows if good.all() else rows.where(good)

    def _together(
        self, raw: NDArray[np.uint8], starts: Micros, ends: Micros, quoted: bool
    ) -> tuple[Micros, NDArray[np.bool_], Floats, NDArray[np.bool_]]:
        """Read all rows of the usual shape; ``good`` tells which those are."""
        stops = ends - (raw[ends - 1] == 13)
        separators = np.flatnonzero(raw == ord(self.separator))
        low, high = np.searchsorted(separators, starts), np.searchsorted(separators, ends)
        good = high - low == self.width - 1
        if quoted:
            quotes = np.flatnonzero(raw == ord('"'))
            good &= np.searchsorted(quotes, starts) == np.searchsorted(quotes, ends)
        count = len(starts)
        micros, aware, celsius = np.zeros(count, np.int64), np.zeros(count, np.bool_), np.zeros(count)
        rows = np.flatnonzero(good)

        def cells(column: int) -> tuple[Micros, Micros]:
            first = starts[rows] if column == 0 else separators[low[rows] + column - 1] + 1
            stop = stops[rows] if column == self.width - 1 else separators[low[rows] + column]
            first = first + ((raw[first] == 32) & (first < stop))
            return first, stop - ((raw[stop - 1] == 32) & (first < stop))

        first, stop = cells(self.time_at)
        length = stop - first
        for size in np.unique(length[(length >= 16) & (length <= 48)]):
            here = length == size
            stamps = parse_block(sliding_window_view(raw, int(size))[first[here]])
            micros[rows[here]], aware[rows[here]] = stamps.micros, stamps.aware
            good[rows[here]] = stamps.ok
        good[rows[(length < 16) | (length > 48)]] = False
        first, stop = cells(self.value_at)
        celsius[rows], fine = decimals(raw, first, without_unit(raw, first, stop, self.unit))
        good[rows] &= fine
        return micros, aware, celsius, good

    def _singly(
        self,
        block: Block,
        starts: Micros,
        ends: Micros,
        found: tuple[Micros, NDArray[np.bool_], Floats, NDArray[np.bool_]],
    ) -> None:
        """Read the rows that are not ``good`` yet, one by one."""
        micros, aware, celsius, good = found
        for row in np.flatnonzero(~good):
            line = block.data[starts[row] : ends[row]]
            if not line.strip(b" \t\r,;"):
                continue
            try:
                cells = aligned(split(line, self.separator), self.width)
                micros[row], aware[row] = parse_stamp(cells[self.time_at])
                celsius[row] = self._value(cells[self.value_at])
                good[row] = True
            except BadEntry as trouble:
                self.problems.add(block.first + int(row), str(trouble), decode(line[:LONGEST]))

    def _value(self, cell: str) -> float:
        entry = parse(cell)
        if entry.value is None:
            raise BadEntry("there is no value" if entry.kind == "blank" else f"{shown(cell)} is not a number")
        if entry.unit and entry.unit != self.unit:
            raise BadEntry(f"{shown(cell)} stands in the column {self.name}")
        return entry.value


def _to_utc(rows: _Rows, zone: ZoneInfo, problems: Problems) -> _Rows:
    """Turn wall times into UTC, in place; times that do not exist are dropped and listed."""
    if rows.aware.all():
        return rows
    keep = np.ones(len(rows.time), np.bool_)
    repeated: list[tuple[Micros, Micros, Micros]] = []
    for start in range(0, len(rows.time), _STEP):
        here = start + np.flatnonzero(~rows.aware[start : start + _STEP])
        local = rows.time[here]
        there = from_local(local, zone)
        rows.time[here] = there.utc
        for row, micros in zip(here[there.skipped], local[there.skipped], strict=True):
            keep[row] = False
            clock = np.datetime_as_string(np.datetime64(int(micros), "us"), unit="s").replace("T", " ")
            problems.add(int(rows.line[row]), f"{clock} does not exist: clocks jumped over it")
        twice = there.repeated
        repeated.append((here[twice], local[twice], there.back[twice]))
    at, local, back = (np.concatenate(column) for column in zip(*repeated, strict=True))
    second = second_passing(at, local, back)
    rows.time[at[second]] += back[second]
    days = local // (86_400 * SECOND)
    for day in np.unique(days):
        here = days == day
        problems.add(
            int(rows.line[at[here][0]]),
            f"local times of {np.datetime64(int(day), 'D')} that occur twice were told apart by their order: "
            f"{np.sum(here & ~second)} rows before and {np.sum(here & second)} after clocks went back",
        )
    return rows if keep.all() else rows.where(keep)


def _in_order(rows: _Rows, problems: Problems) -> _Rows:
    """Sort by time and keep the first row of each time; what was sorted or left out is said."""
    back = np.flatnonzero(rows.time[1:] < rows.time[:-1])
    if back.size:
        problems.add(
            int(rows.line[back[0] + 1]), f"time steps back here ({back.size} times in all); rows were sorted"
        )
        rows = rows.where(np.argsort(rows.time, kind="stable"))
    new = np.concatenate((np.ones(min(len(rows.time), 1), np.bool_), rows.time[1:] != rows.time[:-1]))
    if new.all():
        return rows
    again, firsts = np.flatnonzero(~new), np.flatnonzero(new)
    leader = firsts[np.searchsorted(firsts, again, side="right") - 1]
    equal = rows.celsius[again] == rows.celsius[leader]
    if equal.any():
        line = int(rows.line[again[equal][0]])
        problems.add(line, f"repeats an earlier row ({int(equal.sum())} such rows in all); dropped")
    other, kept = again[~equal], leader[~equal]
    for row, first in zip(other[:LISTED].tolist(), kept[:LISTED].tolist(), strict=True):
        problems.add(
            int(rows.line[row]),
            f"{rows.celsius[row]:g} degC at a time that line {rows.line[first]} has with "
            f"{rows.celsius[first]:g} degC, which was kept",
        )
    if other.size > LISTED:
        problems.count(int(rows.line[other[LISTED]]), other.size - LISTED)
    return rows.where(new)
