"""The cable goes out and comes back, under the same name or another: recording goes on by itself."""

from __future__ import annotations

import os
import random
import statistics
import threading
import time

import pytest

from station.line import own, timebase
from station.line.logger import Logger, Surroundings
from station.line.port import Port
from station.line.protocol import Decoder
from station.store import open_book

pty = pytest.importorskip("pty")
tty = pytest.importorskip("tty")


class Lead:
    """A pseudo-terminal on which a probe speaks twenty times a second while the cable is in."""

    def __init__(self) -> None:
        self.name = "/dev/none-yet"
        self.master = self.slave = -1
        self.held: list[int] = []  # old names kept in use, so that the next one differs
        self.number = 0

    def plug_in(self, another_name: bool) -> None:
        if another_name:
            self.held += pty.openpty()
        self.master, self.slave = pty.openpty()
        tty.setraw(self.slave)
        self.name = os.ttyname(self.slave)

    def speak(self, seconds: float) -> None:
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            os.write(self.master, own.write(self.number % 400 / 10, self.number * 0.05))
            self.number += 1
            time.sleep(0.05)

    def pull(self) -> None:
        os.close(self.master)
        os.close(self.slave)

    def tidy(self) -> None:
        for handle in self.held:
            os.close(handle)


class Watched:
    """The book, with the moment of the first commit after each return of the cable."""

    def __init__(self, book) -> None:
        self.book, self.since, self.delays = book, None, []

    def append_samples(self, samples, rejected=(), **more):
        self.book.append_samples(samples, rejected, **more)
        if samples and self.since is not None:
            self.delays.append(time.monotonic() - self.since)
            self.since = None

    def new_span(self, *arguments):
        return self.book.new_span(*arguments)

    def last_clock(self):
        return self.book.last_clock()

    def seal_days(self, before):
        return self.book.seal_days(before)


def pull_often(path, pulls: int, seed: int) -> list[float]:
    """Return the seconds from the cable's return to the first value in the book, one a pull."""
    chance = random.Random(seed)
    lead, done = Lead(), threading.Event()
    with open_book(path, create=True) as book:
        sink = Watched(book)
        around = Surroundings(
            find=lambda: [lead.name], open=Port, clock=timebase.now, pause=time.sleep,
            synchronised=lambda: False, tell=lambda text: None,
        )  # fmt: skip
        logger = Logger(sink, Decoder(), around)
        thread = threading.Thread(target=logger.run, args=(done.is_set,))
        thread.start()
        try:
            for _ in range(pulls):
                lead.plug_in(another_name=chance.random() < 0.5)
                sink.since = time.monotonic()
                lead.speak(chance.uniform(2.2, 2.8))
                lead.pull()
                time.sleep(chance.uniform(0.0, 3.0))
        finally:
            done.set()
            thread.join()
            lead.tidy()
        book.check_integrity()
        assert book.counts()[0] > 20 * pulls
    return sink.delays


def test_cable_out_and_back(tmp_path):
    assert len(pull_often(tmp_path / "class.book", 3, 1)) == 3


@pytest.mark.long
def test_cable_out_and_back_two_hundred_times(tmp_path):
    delays = pull_often(tmp_path / "class.book", 200, 2)
    print(f"recording again after median {statistics.median(delays):.2f} s, longest {max(delays):.2f} s")
    assert len(delays) == 200
    assert statistics.median(delays) < 2.0
