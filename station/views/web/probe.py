"""What the console needs to know of the live probe: whether it sends, never what it sends."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Protocol

from station.store import Book

#: A probe that has been silent this long is said to be silent [s]; probes send at least every few minutes.
SILENT_S = 300.0


@dataclass(frozen=True)
class Pulse:
    """The state of the probe without its value.

    ``last`` is when the last value came (UTC, None: never), ``recording`` whether this program records now,
    ``trouble`` one sentence of the logger, empty where there is none, ``rejected`` how many lines could not
    be read.
    """

    last: dt.datetime | None
    recording: bool
    trouble: str = ""
    rejected: int = 0


class LiveProbe(Protocol):
    """Handed in by the command that records; the pages alone have the book only."""

    def pulse(self) -> Pulse:
        """Return the state of the probe now."""
        ...


class BookProbe:
    """The state of the probe as far as a book tells it, where nothing records in this program."""

    def __init__(self, book: Book) -> None:
        self._book = book

    def pulse(self) -> Pulse:
        """Return when the last value came."""
        last = self._book.last_sample()
        return Pulse(None if last is None else last.time, recording=False)
