"""A line at 115200 baud is kept up with by block reads; the work as a ratio to reading the bytes alone."""

from __future__ import annotations

import os
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

#: Ten bits a byte (start, eight, stop).
BYTES_A_SECOND = 115_200 / 10


def feed(total: int) -> tuple[str, threading.Thread, int]:
    """Return the name of a wire on which ``total`` lines come as fast as they are read, and their size."""
    master, slave = pty.openpty()
    tty.setraw(slave)
    data = b"".join(own.write(i % 400 / 10, i * 0.01) for i in range(total)) + own.write_words("end", 1e6)

    def write() -> None:
        sent = 0
        while sent < len(data):
            sent += os.write(master, data[sent : sent + 4096])

    thread = threading.Thread(target=write, daemon=True)
    return os.ttyname(slave), thread, len(data)


def cpu_s(work) -> float:
    begin = time.thread_time()
    work()
    return time.thread_time() - begin


def measure(folder, total: int) -> tuple[float, float, int]:
    """Return CPU seconds of logging and of reading alone, and bytes."""
    name, thread, size = feed(total)
    port = Port(name)
    thread.start()

    def read_only() -> None:
        got = 0
        while got < size:
            got += len(port.read())

    plain = cpu_s(read_only)
    port.close()
    name, thread, size = feed(total)
    with open_book(folder / "class.book", create=True) as book:
        around = Surroundings(
            find=lambda: [name], open=Port, clock=timebase.now, pause=time.sleep,
            synchronised=lambda: False, tell=lambda text: thread.start() if "waiting" in text else None,
        )  # fmt: skip
        logger = Logger(book, Decoder(), around)
        work = cpu_s(lambda: logger.run(lambda: logger.decoder.refused > 0))
        assert book.counts()[0] == total
    return work, plain, size


def test_115200_baud_is_kept_up_with(tmp_path):
    work, plain, size = measure(tmp_path, 2_000)
    print(f"{size} bytes: {work:.3f} s of CPU, {work / plain:.1f} x reading alone; "
          f"{work / (size / BYTES_A_SECOND):.1%} of one core at 115200 baud")  # fmt: skip
    assert work < size / BYTES_A_SECOND
