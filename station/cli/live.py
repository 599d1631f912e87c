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
    from station.store import Book

#: Under this key the book remembers what was said about the port.
ANSWERS = "port answers"


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
        speeds=SPEEDS,
    )
    return Logger(book, Decoder(Answers.from_plain(book.recall(ANSWERS))), around)


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
