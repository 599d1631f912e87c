"""Before school: probe, clock, sun, thermometers and cards in sentences, and no value of the probe."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

from starlette.requests import Request
from starlette.responses import Response

from station.base.sun import events
from station.record.model import Session
from station.views import phrases
from station.views.web import say, wording
from station.views.web.desk import Desk
from station.views.web.pages.place import surveyed
from station.views.web.probe import SILENT_S
from station.views.web.render import back, render

#: A stamp this far ahead of the computer's clock is a clock in doubt, not a delay [s].
AHEAD_S = 90.0
#: Faults are told of as far back as yesterday.
_LOOK_BACK = dt.timedelta(days=1)
#: From this chance on the sun at the place is worth a sentence (rule of this tool).
LIKELY = 0.5


@dataclass(frozen=True)
class BeforePage:
    """The day in sentences; ``step`` is the ten-minute step of today, empty once all are done."""

    title: str
    opened: str
    probe: str
    sentences: tuple[str, ...]
    waiting: bool
    step: str
    step_of: str


def before(desk: Desk, request: Request) -> Response:
    """Show whether everything is ready."""
    if not desk.has_settings:
        return back("/first")
    now = desk.local()
    waiting = cards_waiting(desk)
    step = (now.date() - _begun(desk)).days
    steps = wording.BEFORE_STEPS
    page = BeforePage(
        title=wording.BEFORE_TITLE,
        opened=wording.BEFORE_OPENED.format(day=phrases.day(now.date(), weekday=True), time=f"{now:%H:%M}"),
        probe=probe_sentence(desk),
        sentences=tuple(_sentences(desk, now, waiting)),
        waiting=bool(waiting),
        step=steps[step] if 0 <= step < len(steps) else "",
        step_of=wording.BEFORE_STEP_OF.format(n=step + 1, all=len(steps)),
    )
    return render(request, "before.html", page)


def probe_sentence(desk: Desk) -> str:
    """Say whether the probe lives and how old its last value is, never what it was."""
    pulse = desk.probe.pulse()
    if pulse.trouble:
        return pulse.trouble
    if pulse.last is None:
        return wording.BEFORE_PROBE_NONE
    old = (desk.now() - pulse.last).total_seconds()
    if old < -AHEAD_S:
        return wording.BEFORE_CLOCK_AHEAD.format(age=say.age(-old))
    if old > SILENT_S:
        silent = wording.BEFORE_PROBE_SILENT if pulse.recording else wording.BEFORE_PROBE_BOOK
        return silent.format(age=say.age(old))
    return wording.BEFORE_PROBE_OK.format(age=say.age(old))


def cards_waiting(desk: Desk) -> list[Session]:
    """Return the sessions whose cards wait to be typed."""
    table = desk.book.table("sessions")
    rows = table[(table["held"].str.casefold() == "no") & (table["reason"] == wording.REASON_WAITING)]
    found = [Session(date, part) for date, part in rows[["date", "session"]].itertuples(index=False)]
    return [s for s in dict.fromkeys(found) if not desk.book.cards_of(s.date, s.part)]


def _begun(desk: Desk) -> dt.date:
    """Return the day the class began: that of the book, or of the first card in a book made from files."""
    made = desk.book.settings_history()[0].at.astimezone(desk.settings.site.zone).date()
    cards: list[dt.date] = list(desk.book.readings()["date"])
    return min([made, *cards])


def _sentences(desk: Desk, now: dt.datetime, waiting: list[Session]) -> Iterator[str]:
    pulse = desk.probe.pulse()
    if pulse.last is not None and abs((desk.now() - pulse.last).total_seconds()) <= SILENT_S:
        yield wording.BEFORE_CLOCK_OK
    if pulse.rejected:
        yield wording.BEFORE_REJECTED.format(n=pulse.rejected)
    if pulse.last is not None and desk.now() - pulse.last < _LOOK_BACK:
        yield _faults(desk)
    yield from _sun(desk, now)
    resting = sorted(
        (n for n, t in desk.settings.exceptions.items() if t.retired and t.retired <= now.date()),
        key=lambda number: (len(number), number),
    )
    yield wording.BEFORE_REST.format(numbers=phrases.listed(resting)) if resting else wording.BEFORE_REST_NONE
    if not desk.settings.school.is_school_day(now.date()):
        yield wording.BEFORE_NO_SCHOOL
    elif not desk.teams():
        yield wording.BEFORE_NO_TEAMS
    else:
        following = desk.next_session()
        part = desk.part(following.part)
        when = f"{following.part} ({part.start:%H:%M})" if part else following.part
        yield wording.BEFORE_EXPECTED.format(n=len(desk.teams()), when=when)
    if waiting:
        named = phrases.sessions_listed([(s.date, s.part) for s in waiting], 4)
        yield wording.BEFORE_WAITING.format(sessions=named)
    else:
        yield wording.BEFORE_WAITING_NONE


def _faults(desk: Desk) -> str:
    since = desk.now() - _LOOK_BACK
    kinds = dict.fromkeys(f.kind for f in desk.assessment().probe.faults if f.end > since)
    if not kinds:
        return wording.BEFORE_FAULTS_NONE
    return wording.BEFORE_FAULTS.format(kinds=phrases.listed([phrases.kind(kind) for kind in kinds]))


def _sun(desk: Desk, now: dt.datetime) -> Iterator[str]:
    site = desk.settings.site
    if site.latitude is None or site.longitude is None:
        yield wording.BEFORE_SUN_UNKNOWN
        return
    sun = events(now.date(), site.zone, site.latitude, site.longitude)
    if sun.sunrise is not None and sun.sunset is not None:
        yield wording.BEFORE_SUN.format(
            rise=say.clock(sun.sunrise, site.zone),
            set=say.clock(sun.sunset, site.zone),
            noon=say.clock(sun.noon, site.zone),
            side=wording.SOUTH if site.latitude >= 0 else wording.NORTH,
        )
        yield from _lit(desk, now.date())


def _lit(desk: Desk, today: dt.date) -> Iterator[str]:
    """Say when the sun may reach the place in a session of today, if what was recorded says so."""
    forecast = surveyed(desk).place.forecast
    likely = forecast[(forecast["date"] == today) & (forecast["sunlit_probability"] >= LIKELY)]
    likely = likely.dropna(subset=["start_low", "end_high"])
    if len(likely):
        zone = desk.settings.site.zone
        start = likely["start"].fillna(likely["start_low"]).min()
        end = likely["end"].fillna(likely["end_high"]).max()
        yield wording.BEFORE_SUN_LIT.format(start=say.clock(start, zone), end=say.clock(end, zone))
