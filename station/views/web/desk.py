"""The teacher's desk: the one object behind every page.

It holds the book, the clock, the session in hand, and one comparison of everything entered so far, from
which whatever must stay unseen has been taken out before it is made.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import threading
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any

from station import settings as settings_file
from station.base.exceptions import StationException
from station.record.model import Session, SessionPart
from station.settings import Settings
from station.store import Book
from station.views.web.agenda import Agenda, Hidden, InHand, hidden
from station.views.web.doubts import History
from station.views.web.probe import BookProbe, LiveProbe
from station.views.web.writer import Writer

if TYPE_CHECKING:
    from station.assess import Assessment
    from station.place.places import Places
    from station.record.columns import Frames

#: The comparison is made anew when this many samples have come since, even if no card changed.
_SAMPLES_A_STEP = 60
#: A class screen that was sent opens its stream within this time [s], even on a slow machine.
_SCREEN_OPENS_S = 5.0
#: "The projector is off" holds this long [s], and never beyond the next step of a class screen.
_ANSWER_HOLDS_S = 600.0


@dataclass(frozen=True)
class Address:
    """Where the pupils' page answers: the machine's address on the school network and the port."""

    host: str
    port: int

    @property
    def url(self) -> str:
        """Return the address that goes on the table card."""
        return f"http://{self.host}:{self.port}/"


@dataclass(frozen=True)
class Tools:
    """What the command hands in, since it stands above the views.

    ``class_level`` takes teams out of a recording for export; ``demo`` makes the invented class for lessons.
    """

    class_level: Callable[[Any], tuple[Frames, str]] | None = None
    demo: Callable[[], tuple[Frames, Settings]] | None = None


class Desk:
    """The state behind the pages; safe for the threads of one process.

    Parameters
    ----------
    book : Book
        Where everything is kept.
    probe : LiveProbe, optional
        The logger of this process; without it the book tells how old the last value is.
    now : callable, optional
        Returns the present instant, aware; another clock is for rehearsals and tests.
    rehearsal : bool
        The book is the invented class; every page says so.
    address : Address, optional
        Where the pupils' page answers, if it does.
    """

    def __init__(
        self,
        book: Book,
        *,
        probe: LiveProbe | None = None,
        now: Callable[[], dt.datetime] = lambda: dt.datetime.now(dt.UTC),
        rehearsal: bool = False,
        address: Address | None = None,
        tools: Tools = Tools(),
    ) -> None:
        self.book, self.now, self.rehearsal, self.address, self.tools = book, now, rehearsal, address, tools
        self.probe = probe or BookProbe(book)
        self.agenda = Agenda(book)
        self.writer = Writer(book)
        self.lock = threading.RLock()
        self.undo: list[tuple[Session, int, str, str]] = []
        self.survey: tuple[Assessment, Places] | None = None
        self.past: tuple[Session, History] | None = None
        self.screens = 0  # how many streams of class screens are open now
        self.screen_shown_s = float("-inf")  # when a step of one was sent [s of the steady clock]
        self.projector_off_s = float("-inf")  # when the teacher said that the projector is off, likewise
        self._settings: Settings | None = None
        self._making = threading.Lock()
        self._made: tuple[Any, Assessment] | None = None
        self._demo: Assessment | None = None

    @property
    def screen_open(self) -> bool:
        """Tell whether a class screen is open: its stream is, or its page went out a moment ago."""
        return self.screens > 0 or time.monotonic() - self.screen_shown_s < _SCREEN_OPENS_S

    @property
    def projector_in_doubt(self) -> bool:
        """Tell whether a private page must first ask: a class screen is open, and nobody answered since."""
        answered_s = self.projector_off_s
        stale = answered_s <= self.screen_shown_s or time.monotonic() - answered_s > _ANSWER_HOLDS_S
        return self.screen_open and stale

    @property
    def has_settings(self) -> bool:
        """Tell whether the book knows its place yet."""
        return bool(self.book.settings_history())

    @property
    def settings(self) -> Settings:
        """Return the settings of the book."""
        text = self.book.settings_text()
        if self._settings is None or self._settings.text != text:
            self._settings = settings_file.parse(text)
        return self._settings

    @cached_property
    def secret(self) -> str:
        """Return the key that signs forms and cookies; kept in the book: an open page outlives a restart."""
        import secrets

        kept = self.book.recall("signing key")
        if not kept:
            kept = secrets.token_urlsafe(32)
            self.book.remember("signing key", kept)
        return str(kept)

    def local(self) -> dt.datetime:
        """Return the present time at the site."""
        return self.now().astimezone(self.settings.site.zone)

    def today(self) -> dt.date:
        """Return the date at the site."""
        return self.local().date()

    def teams(self) -> tuple[str, ...]:
        """Return the teams in the order of the alphabet."""
        return tuple(sorted(self.settings.teams, key=str.casefold))

    def part(self, name: str) -> SessionPart | None:
        """Return a part of the day by its name."""
        return next((part for part in self.settings.sessions.parts if part.name == name), None)

    def in_hand(self) -> InHand | None:
        """Return the session in hand."""
        return self.agenda.in_hand()

    def next_session(self) -> Session:
        """Return the session that the clock suggests: the first of today that is not over, else the last."""
        now = self.local()
        parts = sorted(self.settings.sessions.parts, key=lambda part: part.start)
        for part in parts:
            start = dt.datetime.combine(now.date(), part.start, now.tzinfo)
            if now < start + dt.timedelta(minutes=part.minutes + 60.0):
                return Session(now.date(), part.name)
        return Session(now.date(), parts[-1].name)

    def missed(self) -> set[Session]:
        """Return the sessions that were not held."""
        table = self.book.table("sessions")
        rows = table[table["held"].str.casefold() == "no"]
        return {Session(date, part) for date, part in rows[["date", "session"]].itertuples(index=False)}

    def hidden(self) -> tuple[Hidden, ...]:
        """Return the spans of the probe's record that no page may use now."""
        return hidden(self.settings, self.today(), self.in_hand(), self.agenda.shown(), self.missed())

    def is_shown(self, session: Session) -> bool:
        """Tell whether the probe's value of a session may be seen."""
        part = self.part(session.part)
        if part is None:
            return True
        start = dt.datetime.combine(session.date, part.start, self.settings.site.zone)
        return not any(span.start <= start < span.end for span in self.hidden())

    def assessment(self) -> Assessment:
        """Return the comparison of everything that may be seen now; made once for all pages."""
        key = self._key()
        with self._making:
            if self._made is None or self._made[0] != key:
                from station.assess import cross_check

                frames = self._frames(self.hidden())
                self._made = (key, cross_check(frames, self.settings))
            return self._made[1]

    def warm(self) -> None:
        """Make the comparison before a page asks for it; what is in its way the pages will say."""
        with contextlib.suppress(StationException):
            if self.has_settings:
                self.assessment()

    def demo_assessment(self) -> Assessment:
        """Return the comparison of the invented class, made at its first use; the command handed it in."""
        with self._making:
            if self._demo is None:
                from station.assess import cross_check

                assert self.tools.demo is not None, "no invented class"
                self._demo = cross_check(*self.tools.demo())
            return self._demo

    def _key(self) -> Any:
        return (
            self.book.entries_seen(),
            self.settings.text,
            self.hidden(),
            self.book.counts()[0] // _SAMPLES_A_STEP,
            self.today() if self.rehearsal else None,
        )

    def _frames(self, spans: tuple[Hidden, ...]) -> Frames:
        frames = self.book.frames()
        now = self.now()

        def seen(samples: Any) -> Any:
            keep = samples["time"] <= now
            for span in spans:
                keep &= (samples["time"] < span.start) | (samples["time"] >= span.end)
            return samples[keep].reset_index(drop=True)

        probes: Mapping[str, Any] = {name: seen(samples) for name, samples in frames.probes.items()}
        return replace(frames, probes=probes, weather=seen(frames.weather))
