"""The session in hand: which one it is, how far it has come, and what of the probe must stay unseen.

The state is kept in the book, so a restart in the middle of an entry finds it again.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace
from typing import Any, Literal

from station.base.time import to_utc
from station.record.model import Session, SessionPart
from station.settings import Settings
from station.store import Book

Step = Literal["cards", "in", "shown"]
_KEY = "session in hand"
#: How many revealed sessions are remembered; only those of one day matter.
_REMEMBERED = 12
#: A shown session's reference needs a sample after its end, and may bridge a pause this long to it [min].
AFTER_MIN = 15.0


@dataclass(frozen=True)
class InHand:
    """The session in hand.

    ``step``: cards are being entered, all are in, or the probe has been shown. ``out_since``: when the class
    went out. ``numbers``: drawn thermometer of each team. ``kept``: cards whose question was answered with
    "keep", team to the cells as they stood. ``helped``: teams that had help. ``predictions``: hands that went
    up for "all the same number". ``all_dots``: show the held-back cards on the class screen too.
    """

    date: dt.date
    part: str
    step: Step = "cards"
    out_since: dt.datetime | None = None
    numbers: Mapping[str, str] = field(default_factory=dict)
    kept: Mapping[str, str] = field(default_factory=dict)
    helped: tuple[str, ...] = ()
    predictions: int | None = None
    all_dots: bool = False

    @property
    def session(self) -> Session:
        """Return which session it is."""
        return Session(self.date, self.part)


class Agenda:
    """Reads and writes the session in hand."""

    def __init__(self, book: Book) -> None:
        self._book = book

    def in_hand(self) -> InHand | None:
        """Return the session in hand, None before the first."""
        kept = self._book.recall(_KEY)
        if not kept:
            return None
        kept["date"] = dt.date.fromisoformat(kept["date"])
        kept["out_since"] = kept["out_since"] and dt.datetime.fromisoformat(kept["out_since"])
        return InHand(**{**kept, "helped": tuple(kept["helped"])})

    def take(self, session: Session) -> InHand:
        """Take a session in hand; the one before counts as shown, as its turn is over."""
        now = self.in_hand()
        if now is not None and now.session == session:
            return now
        if now is not None and now.step != "shown":
            self._remember_shown(now.session)
        new = InHand(session.date, session.part)
        self._write(new)
        return new

    def change(self, **fields: Any) -> InHand:
        """Change some fields of the session in hand."""
        now = self.in_hand()
        assert now is not None, "no session in hand"
        new = replace(now, **fields)
        if new.step == "shown":
            self._remember_shown(new.session)
        self._write(new)
        return new

    def shown(self) -> set[Session]:
        """Return the sessions whose probe value was revealed or whose turn is over, the latest ones."""
        return {Session(dt.date.fromisoformat(d), part) for d, part in self._book.recall("shown") or []}

    def _remember_shown(self, session: Session) -> None:
        known = [s for s in self._book.recall("shown") or [] if s != [session.date.isoformat(), session.part]]
        self._book.remember("shown", [*known, [session.date.isoformat(), session.part]][-_REMEMBERED:])

    def _write(self, state: InHand) -> None:
        kept = asdict(state)
        kept["date"] = state.date.isoformat()
        kept["out_since"] = state.out_since and state.out_since.isoformat()
        self._book.remember(_KEY, kept)


@dataclass(frozen=True)
class Hidden:
    """A span of UTC time from which no value of the probe may reach a page."""

    start: dt.datetime
    end: dt.datetime


def hidden(
    settings: Settings,
    today: dt.date,
    in_hand: InHand | None,
    shown: Iterable[Session],
    missed: Iterable[Session],
) -> tuple[Hidden, ...]:
    """Return the spans that stay unseen until their session's reveal.

    Of a school day, everything after the last session that was revealed or missed, up to midnight, as long as
    one more is to come; and the same of the session in hand, should it be of another day.
    """
    done = {*shown, *missed}
    days = {today} if settings.school.is_school_day(today) else set()
    if in_hand is not None and in_hand.step != "shown":
        days.add(in_hand.date)
    spans = []
    for date in sorted(days):
        parts = sorted(settings.sessions.parts, key=lambda part: part.start)
        last = max((n for n, p in enumerate(parts) if Session(date, p.name) in done), default=-1)
        due = parts[last + 1 :]
        if in_hand is not None and in_hand.date == date and in_hand.step != "shown":
            due = [p for p in parts if p.name == in_hand.part] or due
        if due:
            spans.append(_until_shown(settings, date, parts, due[0]))
    return tuple(spans)


def _until_shown(settings: Settings, date: dt.date, parts: Sequence[SessionPart], due: SessionPart) -> Hidden:
    zone = settings.site.zone
    start = to_utc(date, dt.time(), zone)
    for part in parts[: list(parts).index(due)]:
        end = to_utc(date, part.start, zone) + dt.timedelta(minutes=part.minutes + AFTER_MIN)
        start = min(end, to_utc(date, due.start, zone))
    return Hidden(start, to_utc(date + dt.timedelta(days=1), dt.time(), zone))
