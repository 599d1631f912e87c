"""Records a port: reads, decodes, places in time, hands over; finds the port again when the cable returns."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Protocol

from station.base.exceptions import PortLost
from station.line import wording
from station.line.keeper import Keeper, Sink
from station.line.outcome import Measured, Refused
from station.line.protocol import Decoder
from station.line.restraint import Restraint
from station.line.timebase import CLOCK_DRIFT, READ_S, STEP_S, Instant, Placed, StepWatch, UptimeClock
from station.record.model import RejectedLine, Sample

#: Pauses between tries to open a port, s: soon at first, then bounded, since a person waits beside the cable.
_BACK_OFF_S = (0.1, 0.2, 0.4, 0.8, 1.0)
#: Silence that is worth a word, s: six times the usual ten seconds between lines.
SILENT_S = 60.0
#: Refused lines without one value after which another speed is tried.
_NOISY = 8
#: Bytes without an end of line after which another speed is tried.
_ENDLESS = 1500
#: How often the system is asked whether its clock is synchronised, s.
_ASK_S = 60.0
#: How often a probe of ours hears that somebody listens, s; see ``firmware_notes/line.md``.
_ANSWER_S = 60.0
#: Lines of one read are stamped alike, so no two values of a probe may share a stamp within this.
_TOGETHER = dt.timedelta(seconds=READ_S)


class OpenPort(Protocol):
    """What the logger needs of a port."""

    url: str

    @property
    def has_speed(self) -> bool:
        """Whether another speed may help."""

    def read(self) -> bytes:
        """Return bytes within a short time, perhaps none; raise PortLost."""

    def write(self, data: bytes) -> None:
        """Send bytes; raise PortLost."""

    def close(self) -> None:
        """Close it."""


@dataclass(frozen=True)
class Surroundings:
    """What the logger touches of the world, so that tests can give it another one.

    ``find`` says which ports to try, ``open`` opens one at a speed, ``clock`` reads the host's clocks,
    ``pause`` waits some seconds, ``synchronised`` asks the system about its clock, ``tell`` gets the line of
    state whenever what it says changes, ``spoke`` hears which port gave a value, ``boot`` names this start of
    the computer (empty where that is not known).
    """

    find: Callable[[], Iterable[str]]
    open: Callable[[str, int], OpenPort]
    clock: Callable[[], Instant]
    pause: Callable[[float], None]
    synchronised: Callable[[], bool]
    tell: Callable[[str], None]
    spoke: Callable[[str], None] = lambda url: None
    boot: str = ""
    speeds: tuple[int, ...] = (115200, 9600, 57600, 38400, 19200)


class Logger:
    """Records until told to stop; see `run`."""

    def __init__(self, sink: Sink, decoder: Decoder[Instant], around: Surroundings) -> None:
        self.decoder = decoder
        self._around = around
        self._keeper = Keeper(sink)
        self._steps = StepWatch()
        self._uptimes: dict[str, UptimeClock] = {}
        self._waiting: list[Measured[Instant]] = []  # kept by the probe, until a live line tells its counter
        self._restraint = Restraint()
        self._stamps: dict[str, dt.datetime] = {}
        self._speed = 0
        self._told, self._well = "", True
        self._last: tuple[float, float] | None = None  # last value [degC] and when [steady s]
        self._confirmed, self._asked_s = False, float("-inf")
        moment = self._tick()
        self._stretch(moment, self._since_last_run(sink, moment))

    def run(self, stop: Callable[[], bool]) -> None:
        """Record until ``stop()`` is true; what is held then is written before this returns."""
        tries = 0
        while not stop():
            port = self._connect()
            if port is None:
                self._around.pause(_BACK_OFF_S[min(tries, len(_BACK_OFF_S) - 1)])
                tries += 1
                self._commit(self._tick())
                continue
            tries = 0
            try:
                self._listen(port, stop)
            except PortLost as lost:
                self._say(wording.LOOKING.format(why=lost))
                self._around.pause(_BACK_OFF_S[0])
            finally:
                port.close()
                self._commit(self._tick(), now=True)
        self._commit(self._tick(), now=True)

    def _connect(self) -> OpenPort | None:
        why = wording.NO_PORT
        for url in self._around.find():
            try:
                port = self._around.open(url, self._around.speeds[self._speed])
            except PortLost as lost:
                why = str(lost)
                continue
            self.decoder.reopened()
            self._say(wording.CONNECTED.format(url=url), well=True)
            return port
        self._say(wording.LOOKING.format(why=why))
        return None

    def _listen(self, port: OpenPort, stop: Callable[[], bool]) -> None:
        """Read one open port; returns to be opened anew at another speed."""
        heard = lines = values = refused = 0
        opened_s = self._tick().steady_s
        answered_s = float("-inf")
        while not stop():
            data = port.read()
            moment = self._tick()
            heard += len(data)
            for result in self.decoder.feed(data, moment):
                lines += 1
                if isinstance(result, Measured):
                    values += 1
                    if values == 1:
                        self._around.spoke(port.url)
                    self._measured(result)
                else:
                    refused += result.kind == "unreadable"
                    self._refused(result)
            self._commit(moment)
            if self.decoder.speaks_own and moment.steady_s - answered_s >= _ANSWER_S:
                port.write(b"ok\n")
                answered_s = moment.steady_s
            if port.has_speed and not values and (refused >= _NOISY or (heard > _ENDLESS and lines <= 1)):
                self._speed = (self._speed + 1) % len(self._around.speeds)
                return
            self._state(port.url, moment, opened_s)

    def _tick(self) -> Instant:
        """Read the clocks; a step of the wall clock begins a new stretch."""
        moment = self._around.clock()
        step = self._steps.observe(moment)
        if step is not None:
            self._commit_before_step(moment)
            self._stretch(moment, step)
            self._confirmed, self._asked_s = False, float("-inf")
        return moment

    def _stretch(self, moment: Instant, step_s: float | None) -> None:
        base_s = moment.wall_s - moment.steady_s
        self._keeper.stretch(_utc(moment.wall_s), step_s, self._around.boot, base_s)

    def _since_last_run(self, sink: Sink, moment: Instant) -> float | None:
        """Return how far the clock jumped since the last run [s], None where the computer was off between."""
        last = sink.last_clock()
        if last is None or not last[0] or last[0] != self._around.boot:
            return None
        _, base_s, end = last
        gap_s = abs(moment.wall_s - end.timestamp())
        step_s = moment.wall_s - moment.steady_s - base_s
        return step_s if abs(step_s) > STEP_S + CLOCK_DRIFT * gap_s else 0.0

    def _commit_before_step(self, moment: Instant) -> None:
        self._keeper.commit(moment.steady_s, self._confirmed, now=True)

    def _commit(self, moment: Instant, *, now: bool = False) -> None:
        if moment.steady_s - self._asked_s >= _ASK_S:
            self._asked_s = moment.steady_s
            self._confirmed = self._around.synchronised()
        self._keeper.reached(_utc(moment.wall_s))
        self._keeper.commit(moment.steady_s, self._confirmed, now=now)

    def _measured(self, result: Measured[Instant]) -> None:
        received = result.received
        if result.kept:
            self._waiting.append(result)
            return
        clock = self._uptimes.setdefault(result.sensor, UptimeClock())
        if result.uptime_s is None:
            placed = Placed(received.steady_s - READ_S / 2, READ_S / 12**0.5)  # rectangular
        else:
            placed = clock.place(result.uptime_s, received.steady_s)
        self._keep(result, placed)
        self._last = (result.celsius, received.steady_s)
        waiting, self._waiting = self._waiting, []
        for kept in waiting:
            there = None if kept.uptime_s is None else clock.place_kept(kept.uptime_s)
            if there is None:
                self._refused(
                    Refused(
                        kept.received, kept.line, "question", "kept before a power-on whose time is not known"
                    )
                )
            else:
                self._keep(kept, there)

    def _keep(self, result: Measured[Instant], placed: Placed) -> None:
        received = result.received
        time = _utc(received.wall_s + (placed.steady_s - received.steady_s))
        before = self._stamps.get(result.sensor)
        if before is not None and before - _TOGETHER < time <= before:
            time = before + dt.timedelta(microseconds=1)  # several lines of one read: keep their order
        self._stamps[result.sensor] = time
        sample = Sample(time, result.celsius, result.sensor, placed.u_s, result.uptime_s)
        self._keeper.add(sample, received.steady_s)

    def _refused(self, result: Refused[Instant]) -> None:
        received = result.received
        line = RejectedLine(_utc(received.wall_s), result.line, result.reason)
        for kept in self._restraint.take(result.kind, line):
            self._keeper.add(kept, received.steady_s)

    def _state(self, url: str, moment: Instant, opened_s: float) -> None:
        since = moment.steady_s - (self._last[1] if self._last else opened_s)
        if self._keeper.trouble:
            self._say(wording.HELD.format(trouble=self._keeper.trouble))
        elif self.decoder.other_device:
            self._say(wording.OTHER_DEVICE.format(url=url))
        elif self.decoder.question is not None and (self._last is None or since > SILENT_S):
            self._say(wording.ASKS.format(question=self.decoder.question.text))
        elif since > SILENT_S:
            self._say(wording.SILENT.format(url=url, seconds=SILENT_S), well=True)  # some send rarely
        elif self._last is not None:
            speaks = self.decoder.speaks
            words = wording.RECORDING_AS if speaks else wording.RECORDING
            self._say(words.format(url=url, speaks=speaks), well=True)

    def _say(self, text: str, *, well: bool = False) -> None:
        if text != self._told:
            self._told, self._well = text, well
            self._around.tell(text)

    @property
    def trouble(self) -> str:
        """What is in the way of recording, one sentence; empty where nothing is."""
        return "" if self._well else self._told

    @property
    def held(self) -> int:
        """How many values are not in the book, as it could not be written."""
        return self._keeper.held

    @property
    def state(self) -> str:
        """One line: what is going on, the last value, and what was counted."""
        keeper = self._keeper
        return wording.STATE.format(
            told=self._told,
            last="" if self._last is None else wording.STATE_LAST.format(celsius=self._last[0]),
            values=self.decoder.measured,
            refused=self.decoder.refused,
            held=wording.STATE_HELD.format(n=keeper.held) if keeper.trouble else "",
            dropped=wording.STATE_DROPPED.format(n=keeper.dropped) if keeper.dropped else "",
        )


def _utc(wall_s: float) -> dt.datetime:
    return dt.datetime(1970, 1, 1, tzinfo=dt.UTC) + dt.timedelta(microseconds=round(wall_s * 1e6))
