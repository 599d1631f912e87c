"""Holds values until they are in the book: nothing is lost while the disk is full or may not be written."""

from __future__ import annotations

import datetime as dt
from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Protocol

from station.base.exceptions import StationException
from station.record.model import RejectedLine, Sample

#: Values held in memory at most: three weeks at one in ten seconds, some 60 MB.
HELD = 200_000
#: A value waits this long at most for others to share its commit, s.
COMMIT_S = 0.2
#: Pause between tries while the book cannot be written, s.
_RETRY_S = 5.0


class Sink(Protocol):
    """Where values go; the book is one."""

    def append_samples(
        self,
        samples: Sequence[Sample],
        rejected: Sequence[RejectedLine] = (),
        *,
        span: int | None = None,
        until: dt.datetime | None = None,
        confirmed: bool = False,
    ) -> None:
        """Add in one commit."""

    def new_span(self, start: dt.datetime, step_s: float | None, boot: str, base_s: float) -> int:
        """Begin a stretch of the host's clock."""

    def last_clock(self) -> tuple[str, float, dt.datetime] | None:
        """Return boot, base [s] and end of the last stretch of the host's clock, or None."""

    def seal_days(self, before: dt.date) -> int:
        """Seal the UTC days before a date."""


@dataclass
class _Stretch:
    """A stretch of the host's clock, and what of it is not in the book yet."""

    start: dt.datetime
    step_s: float | None
    boot: str
    base_s: float
    until: dt.datetime
    number: int | None = None


class Keeper:
    """Collects what the line gives and commits it a few times a second."""

    def __init__(self, sink: Sink) -> None:
        self.trouble = ""
        self.dropped = 0
        self._sink = sink
        self._stretches: list[_Stretch] = []
        self._samples: deque[tuple[_Stretch, Sample]] = deque()
        self._rejected: deque[RejectedLine] = deque(maxlen=HELD)
        self._due_s: float | None = None
        self._sealed: dt.date | None = None

    @property
    def held(self) -> int:
        """How many values are not in the book yet."""
        return len(self._samples)

    def stretch(self, start: dt.datetime, step_s: float | None, boot: str, base_s: float) -> None:
        """Begin a stretch of the host's clock; ``base_s`` is wall clock minus steady clock."""
        self._stretches.append(_Stretch(start, step_s, boot, base_s, start))

    def reached(self, moment: dt.datetime) -> None:
        """Say that the current stretch of the clock has reached this moment."""
        self._stretches[-1].until = moment

    def add(self, item: Sample | RejectedLine, steady_s: float) -> None:
        """Take a value or a line that was refused."""
        if isinstance(item, Sample):
            if len(self._samples) >= HELD:
                self._samples.popleft()
                self.dropped += 1
            self._samples.append((self._stretches[-1], item))
        else:
            self._rejected.append(item)
        if self._due_s is None:
            self._due_s = steady_s + COMMIT_S

    def commit(self, steady_s: float, confirmed: bool, *, now: bool = False) -> None:
        """Write what is held if it is due; a book that cannot be written now is tried again later."""
        if self._due_s is None or (steady_s < self._due_s and not now):
            return
        try:
            while self._stretches_due():
                self._one_stretch(confirmed)
        except StationException as trouble:
            self.trouble = str(trouble)
            self._due_s = steady_s + _RETRY_S
            return
        self.trouble = ""
        self._due_s = None
        self._seal()

    def _stretches_due(self) -> bool:
        return bool(self._samples or self._rejected)

    def _one_stretch(self, confirmed: bool) -> None:
        """Commit the values of the oldest stretch that has some."""
        here = self._samples[0][0] if self._samples else self._stretches[-1]
        for stretch in self._stretches[: self._stretches.index(here) + 1]:
            if stretch.number is None:
                stretch.number = self._sink.new_span(
                    stretch.start, stretch.step_s, stretch.boot, stretch.base_s
                )
        batch = [replace(s, span=here.number) for stretch, s in self._samples if stretch is here]
        rejected = list(self._rejected)
        last = here is self._stretches[-1]
        self._sink.append_samples(
            batch, rejected, span=here.number, until=here.until, confirmed=confirmed and last
        )
        for _ in batch:  # values come in the order of their stretches
            self._samples.popleft()
        self._rejected.clear()

    def _seal(self) -> None:
        """Once a day, pack the days that are over; the last two stay open for values that come late."""
        today = self._stretches[-1].until.date()
        if self._sealed == today:
            return
        try:
            self._sink.seal_days(today - dt.timedelta(days=1))
        except StationException as trouble:
            self.trouble = str(trouble)
            return
        self._sealed = today
