"""Together: what the teacher sets before the class screen opens, and the lesson scenes."""

from __future__ import annotations

from dataclasses import dataclass

from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import Response

from station.base.exceptions import BadEntry
from station.record import entry
from station.record.model import Session
from station.views.web import say, wording
from station.views.web.desk import Desk
from station.views.web.render import back, render, text
from station.views.web.together import lesson, screen

#: So many latest sessions can be chosen.
RECENT = 12


@dataclass(frozen=True)
class TogetherPage:
    """The session that the screen will show; ``why_not`` says why it cannot be opened yet."""

    title: str
    session: str
    key: str
    in_hand: bool
    why_not: str
    waiting: str
    predictions: str
    all_dots: bool
    dark: bool
    recent: tuple[tuple[str, str], ...]
    lessons: tuple[tuple[str, str], ...]


def together(desk: Desk, request: Request) -> Response:
    """Show what the class screen will show, without showing it."""
    recent = _recent(desk)
    chosen = request.query_params.get("session")
    of = _parse(chosen) if chosen else (recent[0] if recent else None)
    hand = desk.in_hand()
    mine = hand if hand is not None and of is not None and hand.session == of else None
    why_not, waiting = "", ""
    if of is None:
        why_not = wording.TOGETHER_NONE
    elif mine is not None and mine.step == "cards":
        why_not = wording.TOGETHER_OPEN
    elif mine is None and not desk.is_shown(of):
        why_not = wording.TOGETHER_NOT_IN_HAND
    else:
        n = screen.waiting(desk, of)
        waiting = wording.TOGETHER_WAITING.format(n=n) if n else wording.TOGETHER_WAITING_NONE
    page = TogetherPage(
        title=wording.TOGETHER_TITLE,
        session=say.session(of) if of else "",
        key=say.key(of) if of else "",
        in_hand=mine is not None,
        why_not=why_not,
        waiting=waiting,
        predictions="" if mine is None or mine.predictions is None else str(mine.predictions),
        all_dots=mine is not None and mine.all_dots,
        dark=request.query_params.get("room") == "dark",
        recent=tuple((say.key(s), say.session(s)) for s in recent),
        lessons=tuple((link.address, link.heading) for link in lesson.links()),
    )
    return render(request, "together.html", page)


def prepare(desk: Desk, request: Request, form: FormData) -> Response:
    """Note the hands that went up, and whether held-back cards are shown too."""
    hand = desk.in_hand()
    if hand is None:
        raise BadEntry(wording.TOGETHER_NONE)
    hands = text(form, "predictions", 4)
    if hands and not (hands.isdigit() and int(hands) <= 99):
        raise BadEntry(wording.TOGETHER_HANDS_BAD)
    desk.agenda.change(predictions=int(hands) if hands else None, all_dots=bool(text(form, "all_dots")))
    return back(f"/together?session={say.key(hand.session)}")


def _recent(desk: Desk) -> list[Session]:
    """Return the latest sessions with cards, the one in hand first."""
    order = {part.name: n for n, part in enumerate(desk.settings.sessions.parts)}
    rows = desk.book.readings()[["date", "session"]].drop_duplicates()
    found = [Session(date, part) for date, part in rows.itertuples(index=False) if part in order]
    found.sort(key=lambda s: (s.date, order[s.part]), reverse=True)
    hand = desk.in_hand()
    if hand is not None and hand.session in found:
        found = [hand.session, *(s for s in found if s != hand.session)]
    return found[:RECENT]


def _parse(key: str) -> Session:
    date, _, part = key.partition("/")
    return Session(entry.date(date), part)
