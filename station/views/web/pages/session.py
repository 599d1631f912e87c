"""Session: which one, shadow and air, the wait, thermometer numbers, who is together today, or why not."""

from __future__ import annotations

import datetime as dt
import math
import secrets
from dataclasses import dataclass

from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import Response

from station import settings as settings_file
from station.base.exceptions import BadEntry
from station.record import entry
from station.record.model import Session
from station.views import phrases
from station.views.web import say, wording
from station.views.web.desk import Desk
from station.views.web.pages.first import quoted
from station.views.web.render import back, render, text

#: The wait must do for a large gap between classroom and outdoors, brought within half a degree; the gap of
#: the day is not used, since it would give the probe's value away.
LARGE_GAP_C, WITHIN_C = 20.0, 0.5


@dataclass(frozen=True)
class SessionPage:
    """The session in hand and what can be noted about it; ``teams`` is empty for a new class."""

    title: str
    teams: tuple[str, ...]
    date: str
    part: str
    parts: tuple[str, ...]
    taken: str
    missed: str
    shadow: str
    air: str
    wait: str
    waiting: str
    can_go_out: bool
    numbers: tuple[tuple[str, str], ...]
    pairs: tuple[tuple[str, str], ...]


def session(desk: Desk, request: Request) -> Response:
    """Show the session in hand, or suggest one."""
    hand = desk.in_hand()
    suggested = desk.next_session()
    of = suggested if hand is None or (hand.step == "shown" and suggested != hand.session) else hand.session
    mine = hand if hand is not None and hand.session == of else None
    noted = _noted(desk, of)
    waits = desk.settings.sessions.thermometers == "carried"
    minutes = wait_minutes(desk.settings.box.time_constant_s)
    waiting = ""
    if mine is not None and mine.out_since is not None and mine.step == "cards" and waits:
        zone = desk.settings.site.zone
        ready = mine.out_since + dt.timedelta(minutes=minutes)
        waiting = wording.SESSION_WAITING.format(
            since=say.clock(mine.out_since, zone), ready=say.clock(ready, zone)
        )
    changes = _pairs_today(desk, of)
    helped = set(mine.helped) if mine is not None else set()
    page = SessionPage(
        title=wording.SESSION_TITLE,
        teams=desk.teams(),
        date=of.date.isoformat(),
        part=of.part,
        parts=tuple(part.name for part in desk.settings.sessions.parts),
        taken=say.session(of) + "." if mine is not None else "",
        missed=wording.SESSION_MISSED.format(reason=noted["reason"]) if noted["held"] == "no" else "",
        shadow=noted["shadow"],
        air=noted["air"],
        wait=wording.SESSION_WAIT.format(minutes=phrases.minutes(minutes), why=wording.SESSION_WAIT_WHY)
        if waits
        else wording.SESSION_WAIT_NONE,
        waiting=waiting,
        can_go_out=waits and mine is not None and mine.step == "cards",
        numbers=tuple(sorted(mine.numbers.items(), key=lambda pair: pair[0].casefold())) if mine else (),
        pairs=tuple((team, "helped" if team in helped else changes.get(team, "")) for team in desk.teams()),
    )
    return render(request, "session.html", page)


def take(desk: Desk, request: Request, form: FormData) -> Response:
    """Take a session in hand."""
    part = text(form, "part")
    if desk.part(part) is None:
        raise BadEntry(wording.NOT_FOUND)
    desk.agenda.take(Session(entry.date(text(form, "date")), part))
    return back("/session")


def note(desk: Desk, request: Request, form: FormData) -> Response:
    """Note shadow and air."""
    of = _in_hand(desk)
    cells = {
        "shadow": text(form, "shadow") if text(form, "shadow") in dict(wording.SESSION_SHADOWS) else "",
        "air": text(form, "air") if text(form, "air") in dict(wording.SESSION_AIRS) else "",
    }
    _write(desk, of, {name: value for name, value in cells.items() if value})
    return back("/session")


def missed(desk: Desk, request: Request, form: FormData) -> Response:
    """Note that the session is not held, and why."""
    reason = text(form, "reason", 80)
    if reason not in wording.SESSION_REASONS:
        raise BadEntry(wording.SESSION_REASON)
    _write(desk, _in_hand(desk), {"held": "no", "reason": reason})
    return back("/session")


def out(desk: Desk, request: Request, form: FormData) -> Response:
    """Start the wait."""
    _in_hand(desk)
    desk.agenda.change(out_since=desk.now())
    return back("/session")


def draw(desk: Desk, request: Request, form: FormData) -> Response:
    """Draw a thermometer for each team at random among those in use."""
    of = _in_hand(desk)
    numbers = in_use(desk, of.date)
    teams = desk.teams()
    if len(numbers) < len(teams):
        raise BadEntry(wording.SESSION_FEW_NUMBERS)
    drawn = secrets.SystemRandom().sample(numbers, len(teams))
    desk.agenda.change(numbers=dict(zip(teams, drawn, strict=True)))
    return back("/session")


def pairs(desk: Desk, request: Request, form: FormData) -> Response:
    """Note new pairs, single readers and teams that had help."""
    of = _in_hand(desk)
    before = _pairs_today(desk, of)
    helped = []
    for team in desk.teams():
        chosen = text(form, team)
        if chosen == "helped":
            helped.append(team)
        elif chosen in ("new pair", "one reader") and before.get(team) != chosen:
            desk.book.add_row("pairs", {"team": team, "date": of.date, "change": chosen}, "teacher")
    desk.agenda.change(helped=tuple(helped))
    return back("/session")


def teams(desk: Desk, request: Request, form: FormData) -> Response:
    """Add the teams' labels to the settings."""
    labels = [line.strip() for line in text(form, "teams", 4000).splitlines() if line.strip()]
    added = "".join(f"\n[[teams]]\nname = {quoted(label)}\n" for label in labels)
    toml = desk.book.settings_text().rstrip() + "\n" + added
    settings_file.parse(toml)
    desk.book.set_settings_text(toml, "teacher", "teams named")
    return back("/session")


def in_use(desk: Desk, date: dt.date) -> list[str]:
    """Return the thermometer numbers in use: those written so far, else one a team and two to spare."""
    known = {*desk.book.readings()["thermometer"], *desk.settings.exceptions} - {""}
    if len(known) < len(desk.teams()):
        known |= {str(n + 1) for n in range(len(desk.teams()) + 2)}
    resting = {n for n, t in desk.settings.exceptions.items() if t.retired is not None and t.retired <= date}
    return sorted(known - resting, key=lambda number: (len(number), number))


def wait_minutes(time_constant_s: float) -> float:
    """Return the waiting time in whole half minutes: exponential approach over a large gap."""
    seconds = time_constant_s * math.log(LARGE_GAP_C / WITHIN_C)
    return math.ceil(seconds / 60.0)


def _in_hand(desk: Desk) -> Session:
    hand = desk.in_hand()
    if hand is None:
        raise BadEntry(wording.CARDS_NO_SESSION)
    return hand.session


def _noted(desk: Desk, of: Session) -> dict[str, str]:
    table = desk.book.table("sessions")
    rows = table[(table["date"] == of.date) & (table["session"] == of.part)]
    return {
        name: str(rows[name].iloc[-1]) if len(rows) else "" for name in ("held", "reason", "shadow", "air")
    }


def _write(desk: Desk, of: Session, cells: dict[str, str]) -> None:
    table = desk.book.table("sessions")
    keys = zip(table["date"], table["session"], strict=True)
    at = [i for i, key in enumerate(keys) if key == (of.date, of.part)]
    if not at:
        desk.book.add_row("sessions", {"date": of.date, "session": of.part, **cells}, "teacher")
        return
    row = desk.book.rows_of("sessions")[at[-1]]
    for column, value in cells.items():
        desk.book.edit_row("sessions", row, column, value, "teacher", wording.SESSION_TITLE)


def _pairs_today(desk: Desk, of: Session) -> dict[str, str]:
    table = desk.book.table("pairs")
    today = table[table["date"] == of.date]
    return dict(zip(today["team"], today["change"], strict=True))
