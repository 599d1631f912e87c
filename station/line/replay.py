"""A raw serial capture (``probe.log``) into samples, by the times that a terminal wrote before each line."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable
from dataclasses import dataclass
from zoneinfo import ZoneInfo

import numpy as np

from station.base.exceptions import BadEntry
from station.base.stamps import parse_stamp
from station.base.time import SECOND, from_local
from station.line.outcome import Measured
from station.line.protocol import Answers, Decoder
from station.record.model import RejectedLine, Sample

_PREFIX = re.compile(
    rb"^\W{0,2}(?:(?P<full>\d{4}-\d\d-\d\d[T ]\d\d:\d\d:\d\d(?:[.,]\d{1,9})?(?:Z|[+-]\d\d:?\d\d)?)"
    rb"|(?P<clock>\d\d:\d\d:\d\d(?:[.,:]\d{1,6})?))[\])]?\s*(?:->|[,;:|\s])\s*"
)
_DAY = 86_400 * SECOND
#: Standard uncertainty of a terminal's stamp, s: it is put on whole blocks (common practice).
_U_STAMP_S = 0.5


@dataclass(frozen=True)
class Replayed:
    """What a capture holds."""

    samples: tuple[Sample, ...]
    rejected: tuple[RejectedLine, ...]
    without_time: int


def replay(
    capture: bytes, zone: ZoneInfo, first: dt.date | None = None, answers: Answers | None = None
) -> Replayed:
    """Return samples and rejected lines of a capture.

    Parameters
    ----------
    capture
        The file's bytes, as a terminal program saved them.
    zone
        Zone of stamps without an offset.
    first
        Date of the first line where stamps hold a clock time only; a clock that falls back by more than
        twelve hours begins the next day. Without it such lines have no time.
    answers
        What was said about this port.
    """
    decoder: Decoder[int] = Decoder(answers, mid_line=False)
    clock = _Clock(zone, first)
    samples: list[Sample] = []
    rejected: list[RejectedLine] = []
    without = 0
    for line in re.split(rb"[\r\n]+", capture):
        micros, text = clock.read(line)
        results = decoder.feed(text + b"\n", micros or 0)
        if micros is None:
            without += len(results)
            continue
        time = dt.datetime(1970, 1, 1, tzinfo=dt.UTC) + dt.timedelta(microseconds=micros)
        for result in results:
            if isinstance(result, Measured):
                samples.append(Sample(time, result.celsius, result.sensor, _U_STAMP_S, result.uptime_s))
            else:
                rejected.append(RejectedLine(time, result.line, result.reason))
    return Replayed(tuple(_ordered(samples)), tuple(rejected), without)


class _Clock:
    """Reads the stamp before a line."""

    def __init__(self, zone: ZoneInfo, first: dt.date | None) -> None:
        self._zone = zone
        self._day = None if first is None else (first - dt.date(1970, 1, 1)).days * _DAY
        self._last = -1

    def read(self, line: bytes) -> tuple[int | None, bytes]:
        """Return the instant [microseconds UTC], None where there is none, and the line without its stamp."""
        match = _PREFIX.match(line)
        if match is None:
            return None, line
        rest = line[match.end() :]
        if match["full"]:
            try:
                micros, aware = parse_stamp(match["full"].decode("ascii"))
            except BadEntry:
                return None, rest
            return (micros if aware else self._utc(micros)), rest
        if self._day is None:
            return None, rest
        parts = re.split(rb"[.,:]", match["clock"])
        hour, minute, second = (int(part) for part in parts[:3])
        fraction = int(parts[3].ljust(6, b"0")) if len(parts) > 3 else 0
        micros = ((hour * 60 + minute) * 60 + second) * SECOND + fraction
        if micros < self._last - _DAY // 2:
            self._day += _DAY
        self._last = micros
        return self._utc(self._day + micros), rest

    def _utc(self, local: int) -> int | None:
        there = from_local(np.array([local], np.int64), self._zone)
        return None if there.skipped[0] else int(there.utc[0])


def _ordered(samples: Iterable[Sample]) -> list[Sample]:
    return sorted(samples, key=lambda sample: sample.time)
