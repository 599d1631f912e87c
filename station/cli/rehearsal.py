"""A rehearsal: the invented class in a book of its own that goes away, on an afternoon of its last week."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from station.base.time import to_utc
from station.record.model import Session
from station.store import Book, open_book

if TYPE_CHECKING:
    from station.record.columns import Frames
    from station.settings import Settings
    from station.views.web.probe import Pulse

#: The rehearsal begins when the cards of this session have just come in.
NEXT = Session(dt.date(2026, 11, 11), "afternoon")
BEGINS = dt.time(14, 16)


def rehearsal(folder: Path) -> tuple[Book, Callable[[], dt.datetime]]:
    """Return a new book of Larch Lane up to `NEXT`, and a clock that starts when its cards come in."""
    from station.scenario.larch_lane import larch_lane
    from station.scenario.play import play

    plan = larch_lane()
    scenario = play(plan)
    rows = scenario.frames.readings
    order = {part.name: n for n, part in enumerate(plan.sessions.parts)}
    this = (NEXT.date, order[NEXT.part])
    before = [(d, order[p]) < this for d, p in zip(rows["date"], rows["session"], strict=True)]
    frames = replace(scenario.frames, readings=rows[before].reset_index(drop=True))
    book = open_book(folder / "rehearsal.book", create=True)
    book.import_frames(frames, scenario.settings_text)
    ahead = to_utc(NEXT.date, BEGINS, plan.site.zone) - dt.datetime.now(dt.UTC)
    return book, lambda: dt.datetime.now(dt.UTC) + ahead


def invented_class() -> tuple[Frames, Settings]:
    """Return the whole run of Larch Lane, for lessons of a class that has too few cards of its own."""
    from station import settings
    from station.scenario.larch_lane import larch_lane
    from station.scenario.play import play

    scenario = play(larch_lane())
    return scenario.frames, settings.parse(scenario.settings_text)


class RehearsalProbe:
    """A probe that is always well: its last value came a few seconds ago."""

    def __init__(self, now: Callable[[], dt.datetime]) -> None:
        self._now = now

    def pulse(self) -> Pulse:
        """Return the state of the invented probe."""
        from station.views.web.probe import Pulse

        now = self._now()
        return Pulse(now - dt.timedelta(seconds=now.second % 30), recording=True)
