"""A running logger: the wiring of port, decoder, clocks and book that ``log`` and ``start`` share."""

from __future__ import annotations

import contextlib
import re
import signal
import time
from collections.abc import Callable
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from station.line.logger import Logger
    from station.line.port import Port
    from station.line.protocol import Decoder
    from station.store import Book

#: Under this key the book remembers what was said about the port.
ANSWERS = "port answers"
#: Bytes without an end of line that mean a wrong speed.
_ENDLESS = 400


def logger_for(book: Book, url: str, tell: Callable[[str], None]) -> Logger:
    """Return a logger of the probe at ``url`` (empty: wherever one is found) into ``book``."""
    from station.line import timebase
    from station.line.logger import Logger, Surroundings
    from station.line.port import SPEEDS, Finder, Port
    from station.line.protocol import Answers, Decoder

    find = Finder(url)
    around = Surroundings(
        find=find,
        open=Port,
        clock=timebase.now,
        pause=time.sleep,
        synchronised=timebase.synchronised,
        tell=tell,
        spoke=find.opened,
        boot=timebase.boot(),
        speeds=SPEEDS,
    )
    return Logger(book, Decoder(Answers.from_plain(book.recall(ANSWERS))), around)


def open_speaking(url: str, seconds: float, decoder: Decoder[float]) -> Port:
    """Open a port at the speed at which it can be understood; silence is left as it is.

    Each speed gets ``seconds`` to show a line that is more than noise.

    Raises
    ------
    PortLost
        It cannot be opened, or goes away.
    """
    from station.line.port import SPEEDS, Port

    for speed in SPEEDS:
        port = Port(url, speed)
        decoder.reopened()
        heard = _understood(port, seconds, decoder)
        if heard is not False or not port.has_speed:
            return port
        port.close()
    return Port(url)


def _understood(port: Port, seconds: float, decoder: Decoder[float]) -> bool | None:
    """Tell whether a port speaks plainly (True), makes noise (False) or is silent (None)."""
    from station.line.outcome import Measured

    end, size, noise = time.monotonic() + seconds, 0, 0
    while time.monotonic() < end:
        data = port.read()
        size += len(data)
        for result in decoder.feed(data, 0.0):
            if isinstance(result, Measured) or result.kind in ("fault", "question"):
                return True
            noise += result.kind == "unreadable"
        if noise > 3 or (size > _ENDLESS and not noise):
            return False
    return False if noise else None


def until(seconds: float | None) -> Callable[[], bool]:
    """Return a function that tells when to stop: after ``seconds``, or on the signals INT and TERM."""
    asked: list[int] = []

    def note(number: int, frame: FrameType | None) -> None:
        asked.append(number)

    signal.signal(signal.SIGINT, note)
    signal.signal(signal.SIGTERM, note)
    end = float("inf") if seconds is None else time.monotonic() + seconds
    return lambda: bool(asked) or time.monotonic() >= end


def first_settings(localtime: Path = Path("/etc/localtime")) -> tuple[str, bool]:
    """Return ``station.toml`` for a new book, and whether the computer told its time zone (else UTC)."""
    zone = ""
    with contextlib.suppress(OSError):
        zone = re.sub(r"^.*/zoneinfo/(?:posix/|right/)?", "", str(localtime.resolve(strict=True)))
    known = bool(re.fullmatch(r"[A-Za-z_]+/[A-Za-z_/+\-0-9]+", zone))
    return f'[site]\ntimezone = "{zone if known else "UTC"}"\n', known
