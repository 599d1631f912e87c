"""When a value was measured: the host's clock watched for steps, and the probe's own counter fitted to it.

Three clocks meet here. *Wall* is what the computer calls UTC and may be set at any moment. *Steady* counts
seconds without a step, sleep included. *Uptime* is the probe's count since power-on, where it tells one; a
line can reach us late, never early, so the smallest delays show how uptime and steady belong together.
"""

from __future__ import annotations

import ctypes
import math
import sys
import time
from collections import deque
from dataclasses import dataclass
from pathlib import Path

import numpy as np

#: A change of wall against steady that counts as a step, s; far above the jitter of reading two clocks.
STEP_S = 0.1
#: Two good clocks drift apart by less than this: 100 ppm, twice a quartz's usual limits (common practice).
CLOCK_DRIFT = 1e-4
#: A ceramic resonator on a cheap board may be off by 0.5 % (common practice); with margin.
PROBE_DRIFT = 0.01
#: Longest time a byte waits for our read to return, s.
READ_S = 0.1
#: A line this much later than the earliest expectation was held up somewhere, s.
_LATE_S = 1.0
#: Counters of small boards start again at 2**32 ms, 2**30 ms or 2**32 us.
_WRAPS_S = (2**32 / 1e3, 2**30 / 1e3, 2**32 / 1e6)
#: One point a block, s, over an hour, enough for a slope against jitter of READ_S.
_BLOCK_S, _BLOCKS, _MATURE = 60.0, 60, 10
#: A counter is believed to count seconds once it kept pace with the host for this long, s.
_PROVEN_S = 30.0


#: Both clocks count as read together within this, s; where other work came between, try again.
_TOGETHER_S, _TRIES = 0.002, 20
_STEADY: int | None = getattr(time, "CLOCK_BOOTTIME", getattr(time, "CLOCK_MONOTONIC", None))


@dataclass(frozen=True)
class Instant:
    """One moment on both clocks of the host: ``wall_s`` since 1970 UTC, ``steady_s`` since anything."""

    wall_s: float
    steady_s: float


def now() -> Instant:
    """Return this moment.

    Steady counts sleep: ``CLOCK_BOOTTIME`` on Linux, ``CLOCK_MONOTONIC`` on macOS; on Windows
    ``time.monotonic`` does by itself (from memory of the systems' manuals).
    """
    for _ in range(_TRIES):
        before_s, wall_s, after_s = _steady(), time.time(), _steady()
        if after_s - before_s < _TOGETHER_S:
            break
    return Instant(wall_s, (before_s + after_s) / 2.0)


def _steady() -> float:
    return time.monotonic() if _STEADY is None else time.clock_gettime(_STEADY)


def synchronised() -> bool:
    """Tell whether the system calls its clock synchronised; False where it does not say.

    Linux: ``adjtimex(2)`` without the flag ``STA_UNSYNC`` (0x40); reading needs no rights.
    """
    if sys.platform != "linux":
        return False
    buffer = (ctypes.c_char * 512)()  # struct timex is 208 bytes; modes = 0 only reads
    try:
        if ctypes.CDLL(None, use_errno=True).adjtimex(ctypes.byref(buffer)) < 0:
            return False
    except (OSError, AttributeError):
        return False
    status_at = 5 * ctypes.sizeof(ctypes.c_long)  # after modes, offset, freq, maxerror, esterror
    status = ctypes.c_int.from_buffer(buffer, status_at).value
    return not status & 0x40


def boot() -> str:
    """Return what tells this start of the computer from others; empty where the system does not say.

    The steady clock of two runs is one clock only between two starts. Linux: ``random/boot_id``.
    """
    try:
        return Path("/proc/sys/kernel/random/boot_id").read_text(encoding="ascii").strip()
    except OSError:
        return ""


class StepWatch:
    """Finds steps of the wall clock against the steady one."""

    def __init__(self) -> None:
        self._last: Instant | None = None

    def observe(self, moment: Instant) -> float | None:
        """Return the size of a step since the last observation [s], None where there was none."""
        last, self._last = self._last, moment
        if last is None:
            return None
        gap = moment.steady_s - last.steady_s
        step = (moment.wall_s - last.wall_s) - gap
        return step if abs(step) > STEP_S + CLOCK_DRIFT * max(gap, 0.0) else None


@dataclass(frozen=True)
class Placed:
    """A moment on the steady clock [s] and its standard uncertainty [s]."""

    steady_s: float
    u_s: float


class UptimeClock:
    """Places values by the probe's counter: offset and drift fitted to the earliest arrivals.

    Until the fit is mature, the arrival itself is the time, unless the line was clearly held up. A counter
    that goes back is a wrap where the elapsed time says so, else a reset, which starts the fit anew. One that
    does not keep pace with the host, such as a row number, is not used.
    """

    def __init__(self) -> None:
        self.resets = 0
        self._forget()

    def _forget(self) -> None:
        self._blocks: deque[tuple[float, float]] = deque(maxlen=_BLOCKS)  # (uptime, least delay)
        self._block = -1
        self._fit: tuple[float, float, float] | None = None  # delay at 0, drift, spread
        self._last: tuple[float, float] | None = None
        self._start: tuple[float, float] | None = None
        self._proven = False
        self._late_since: float | None = None
        self._wrapped = 0.0

    def place(self, uptime_s: float, arrival_s: float) -> Placed:
        """Return when a value with this counter was measured; ``arrival_s`` on the steady clock."""
        uptime = self._unwrap(uptime_s, arrival_s)
        u_arrival = READ_S / math.sqrt(3.0)  # rectangular, JCGM 100 4.3.7
        placed = self._expected(uptime, u_arrival)
        proven = self._keeps_pace(uptime, arrival_s)
        if placed is not None and proven and arrival_s - placed.steady_s > _LATE_S:
            if self._late_since is None:
                self._late_since = arrival_s
            if arrival_s - self._late_since < _BLOCK_S:
                return placed  # held up, such as by a computer that slept; says nothing about the counter
            self._forget()  # late for good: the counter stood still for a while
            self._last = (uptime_s, arrival_s)
        self._late_since = None
        self._collect(uptime, arrival_s - uptime)
        fitted = self._expected(uptime, u_arrival) if self._fit is not None else None
        if fitted is None:
            return Placed(arrival_s, u_arrival)
        return Placed(min(fitted.steady_s, arrival_s), fitted.u_s)

    def _expected(self, uptime: float, u_arrival: float) -> Placed | None:
        """Return when a line with this counter should come at the earliest, as far as is known."""
        if self._fit is not None:
            offset, drift, spread = self._fit
            return Placed(uptime + offset + drift * uptime, math.hypot(u_arrival / 2, spread))
        if not self._blocks:
            return None
        least = min(
            delay for _, delay in list(self._blocks)[-2:]
        )  # the counter drifts: only the latest count
        return Placed(uptime + least, math.hypot(u_arrival, PROBE_DRIFT * _BLOCK_S))

    def place_kept(self, uptime_s: float) -> Placed | None:
        """Return when a value was measured that the probe kept while nobody listened.

        Known only for the power-on that is running now, and only after a live line told its counter. The
        uncertainty grows with the time since: by the fitted drift's own where it is mature, else by
        `PROBE_DRIFT` as a rectangular half-width.
        """
        if self._last is None or uptime_s > self._last[0]:
            return None
        uptime, arrival = self._last
        ago = uptime - uptime_s
        if self._fit is not None:
            offset, drift, spread = self._fit
            reach = max(uptime - self._blocks[0][0], _BLOCK_S)
            return Placed(
                uptime_s + offset + drift * uptime_s, math.hypot(READ_S, spread * (1.0 + ago / reach))
            )
        return Placed(arrival - ago, math.hypot(READ_S, PROBE_DRIFT * ago / math.sqrt(3.0)))

    def _unwrap(self, uptime_s: float, arrival_s: float) -> float:
        uptime = uptime_s + self._wrapped
        if self._last is not None and uptime < self._last[0] - STEP_S:
            expected = self._last[0] + arrival_s - self._last[1]
            near = 2 * READ_S + 2 * PROBE_DRIFT * (arrival_s - self._last[1])
            for period in _WRAPS_S:
                if self._last[0] - self._wrapped < period and abs(uptime + period - expected) <= near:
                    self._wrapped += period
                    self._last = (uptime_s + self._wrapped, arrival_s)
                    return self._last[0]
            self._forget()
            self.resets += 1
            uptime = uptime_s
        self._last = (uptime, arrival_s)
        return uptime

    def _keeps_pace(self, uptime: float, arrival_s: float) -> bool:
        """Tell whether the counter has once counted seconds for `_PROVEN_S`; checked until it has."""
        if self._start is None:
            self._start = (uptime, arrival_s)
        counted, passed = uptime - self._start[0], arrival_s - self._start[1]
        if not self._proven and passed >= _PROVEN_S:
            self._proven = abs(counted - passed) <= _LATE_S + PROBE_DRIFT * passed
            if not self._proven:
                self._start = (uptime, arrival_s)
        return self._proven

    def _collect(self, uptime: float, delay: float) -> None:
        block = int(uptime // _BLOCK_S)
        if block == self._block and self._blocks:
            if delay < self._blocks[-1][1]:
                self._blocks[-1] = (uptime, delay)
            return
        if len(self._blocks) >= _MATURE:
            self._refit()
        self._block = block
        self._blocks.append((uptime, delay))

    def _refit(self) -> None:
        uptime, delay = np.array(self._blocks).T
        i, j = np.triu_indices(len(uptime), 1)
        drift = float(np.median((delay[j] - delay[i]) / (uptime[j] - uptime[i])))  # Theil and Sen
        left = delay - drift * uptime
        offset = float(np.median(left))
        spread = 1.4826 * float(np.median(np.abs(left - offset)))
        if abs(drift) <= PROBE_DRIFT and spread <= READ_S:
            self._fit = (offset, drift, spread)
        else:
            self._fit = None
