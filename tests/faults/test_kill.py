"""The logger is killed (SIGKILL) at random moments: what came over a second before is kept."""

from __future__ import annotations

import contextlib
import os
import random
import signal
import socket
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from station.line import own
from station.store import open_book

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")

#: Imports once, then forks a logger for each line "BOOK URL WAL_LIMIT" it gets, and prints its number.
SERVER = """
import os, sys, signal
from pathlib import Path
from station.cli import live
from station.line import logger, port, protocol, timebase
from station.store import connection, open_book, book, samples
signal.signal(signal.SIGCHLD, signal.SIG_IGN)
for line in sys.stdin:
    path, url, limit = line.split()
    child = os.fork()
    if child == 0:
        connection._WAL_LIMIT = int(limit)
        live.logger_for(open_book(Path(path)), url, lambda text: None).run(lambda: False)
    print(child, flush=True)
"""


class Sender(threading.Thread):
    """Sends numbered values to whoever is connected, and notes when."""

    def __init__(self, rate: float) -> None:
        super().__init__(daemon=True)
        self.rate, self.stop = rate, False
        self.server = socket.create_server(("127.0.0.1", 0))
        self.server.settimeout(1.0 / rate)
        self.url = f"socket://127.0.0.1:{self.server.getsockname()[1]}"
        self.sent: list[tuple[float, int, object]] = []  # when, value, to whom
        self.listener: socket.socket | None = None

    def run(self) -> None:
        number = 0
        while not self.stop:
            with contextlib.suppress(TimeoutError):
                self.listener, _ = self.server.accept()
            listener = self.listener
            if listener is None:
                continue
            try:
                listener.sendall(own.write(number / 10_000, number / self.rate))
            except OSError:
                self.hang_up()
                continue
            self.sent.append((time.monotonic(), number, listener))
            number += 1
        self.hang_up()
        self.server.close()

    def hang_up(self) -> None:
        listener, self.listener = self.listener, None
        if listener is not None:
            listener.close()


def kill_often(folder: Path, kills: int, seed: int) -> tuple[int, int]:
    """Return how many values had to be in the book, and how many were missing."""
    chance = random.Random(seed)
    path = folder / f"class-{seed}.book"
    open_book(path, create=True, settings_text='[site]\ntimezone = "UTC"\n').close()
    sender = Sender(rate=50.0)
    sender.start()
    with subprocess.Popen([sys.executable, "-c", SERVER], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
                          text=True) as server:  # fmt: skip
        sessions: list[tuple[list[int], list[int]]] = []  # all values sent, and those older than a second
        for number in range(kills):
            begin, before = len(sender.sent), sender.sent[-1][2] if sender.sent else None
            limit = chance.choice((4_000_000, 100_000))
            server.stdin.write(f"{path} {sender.url} {limit}\n")
            server.stdin.flush()
            child = int(server.stdout.readline())
            time.sleep(chance.choice((chance.uniform(0.05, 0.5), chance.uniform(1.0, 2.2))))
            killed = time.monotonic()
            os.kill(child, signal.SIGKILL)
            sent = [(at, n) for at, n, to in sender.sent[begin:] if to is not before]
            sessions.append(([n for _, n in sent], [n for at, n in sent if at < killed - 1.0]))
            sender.hang_up()
            if number % 100 == 99:
                with open_book(path) as book:
                    book.check_integrity()
        server.stdin.close()
    sender.stop = True
    sender.join()
    with open_book(path) as book:
        book.check_integrity()
        found = {round(value * 10_000) for value in book.frames().probe["celsius"]}
    return due_and_missing(sessions, found)


def due_and_missing(sessions: list[tuple[list[int], list[int]]], found: set[int]) -> tuple[int, int]:
    """Return how many values older than a second had to be found, and how many were not.

    While pyserial opens a port it discards what came before, so a session counts from its first value found;
    one with half a second of old values and none of them found counts whole.
    """
    due: set[int] = set()
    for sent, old in sessions:
        first = min((n for n in sent if n in found), default=None)
        if first is not None:
            due |= {n for n in old if n >= first}
        elif len(old) > 25:
            due |= set(old)
    return len(due), len(due - found)


def test_killed_a_few_times(tmp_path):
    due, missing = kill_often(tmp_path, 12, 1)
    assert due > 100
    assert missing == 0


@pytest.mark.long
def test_killed_two_thousand_times(tmp_path):
    results: list[tuple[int, int]] = []
    threads = [
        threading.Thread(target=lambda seed=seed: results.append(kill_often(tmp_path, 500, seed)))
        for seed in range(4)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    print(f"2000 kills: {sum(due for due, _ in results)} values due, {sum(m for _, m in results)} missing")
    assert len(results) == 4
    assert sum(missing for _, missing in results) == 0
