"""A computer and a probe in virtual time: the host's clocks, a cable, a probe with its own counter."""

from __future__ import annotations

import datetime as dt
import os
import random
import tempfile
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from station.base.exceptions import PortLost
from station.line import own
from station.line.logger import Logger, Surroundings
from station.line.protocol import Decoder
from station.line.timebase import READ_S, Instant

T0 = dt.datetime(2026, 10, 5, 12, 0, tzinfo=dt.UTC).timestamp()


@dataclass
class World:
    """True time is ``t``; the wall clock is off by ``wall_off``; ``steady`` counts true seconds."""

    seed: int = 0
    every_s: float = 10.0
    probe_drift: float = 0.0  # how fast the probe's counter runs against true time
    t: float = T0
    wall_off: float = 0.0
    cable: bool = True
    asleep_until: float = 0.0
    synchronised: bool = False
    power_on: float = T0 - 100.0
    states: list[str] = field(default_factory=list)
    truth: dict[float, float] = field(default_factory=dict)  # value as sent -> true time of measurement
    plan: list[tuple[float, Callable[[World], None]]] = field(default_factory=list)
    uptime: bool = True
    boot: str = "this start"
    answers: bytes = b""
    leap: bool = True  # reads jump to the next line, else they take their 0.1 s

    def __post_init__(self) -> None:
        self.chance = random.Random(self.seed)
        self.sent = 0
        self.next_line = self.t + 1.0

    def clock(self) -> Instant:
        return Instant(self.t + self.wall_off, self.t - T0 + 5000.0)

    def at(self, after_s: float, action: Callable[[World], None]) -> None:
        self.plan.append((T0 + after_s, action))
        self.plan.sort(key=lambda entry: entry[0])

    def advance(self, seconds: float) -> None:
        self.t += seconds
        while self.plan and self.plan[0][0] <= self.t:
            _, action = self.plan.pop(0)
            action(self)

    def lines(self) -> bytes:
        """Return the lines whose last byte has arrived by now."""
        out = b""
        while self.next_line + 0.01 <= self.t:
            value = round(self.sent / 10_000, 4)
            counter = (self.next_line - self.power_on) * (1 + self.probe_drift)
            line = own.write(value, counter) if self.uptime else f"Temp: {value:.4f} C\n".encode()
            self.truth[value] = self.next_line
            self.sent += 1
            out += line
            self.next_line += self.every_s
        return out

    def open(self, url: str, speed: int) -> Cable:
        if not self.cable:
            raise PortLost("no such port")
        return Cable(self, url)

    def logger(self, sink: object, decoder: Decoder[Instant] | None = None) -> Logger:
        around = Surroundings(
            find=lambda: ["virtual"],
            open=self.open,
            clock=self.clock,
            pause=self.advance,
            synchronised=lambda: self.synchronised,
            tell=self.states.append,
            boot=self.boot,
        )
        return Logger(sink, decoder or Decoder(), around)

    def run(self, sink: object, hours: float) -> Logger:
        logger = self.logger(sink)
        end = self.t + hours * 3600.0
        logger.run(lambda: self.t >= end)
        return logger


class Cable:
    has_speed = False

    def __init__(self, world: World, url: str) -> None:
        self.world, self.url = world, url
        world.lines()  # what was sent while nobody listened is gone

    def read(self) -> bytes:
        world = self.world
        wait = READ_S
        if world.leap:
            wait = max(world.next_line + 0.01 - world.t, 0.0) + world.chance.uniform(0.0, READ_S)
        world.advance(wait)
        if not world.cable:
            raise PortLost("the cable is out")
        return world.lines()

    def write(self, data: bytes) -> None:
        self.world.answers += data

    def close(self) -> None:
        pass


@pytest.fixture
def memory_disk(tmp_path):
    """Return a folder on a disk in memory where there is one: what is tested is time, not the disk's."""
    shm = Path("/dev/shm")
    if not os.access(shm, os.W_OK):
        yield tmp_path
        return
    with tempfile.TemporaryDirectory(dir=shm) as folder:
        yield Path(folder)


@pytest.fixture
def world():
    return World
