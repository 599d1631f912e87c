"""The pupils' page as an application of its own: one team's card of the open session, and nothing else.

It has its own port; no address of the teacher's pages exists here.
"""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import quote, unquote

from itsdangerous import BadSignature, Signer
from starlette.applications import Starlette
from starlette.datastructures import FormData
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles
from starlette.types import ASGIApp

from station.record import entry
from station.record.model import Session
from station.views.web import entries, guard, say, wording
from station.views.web.codes import Codes, Guesses
from station.views.web.desk import Desk
from station.views.web.render import HERE, act, back, plain_note, refused_plainly, render, show, text

GET, POST = ["GET"], ["POST"]
CARD = "card"


@dataclass(frozen=True)
class WordsPage:
    """Asks for the four words; ``said`` is what became of the last try."""

    title: str
    said: str


@dataclass(frozen=True)
class OwnCardPage:
    """A team's own card of the open session, and nothing of anybody else."""

    title: str
    team: str
    session: str
    thermometer: str
    celsius: str
    fahrenheit: str
    said: str


def pupils_app(desk: Desk, codes: Codes, host_ok: guard.HostCheck = guard.own_address) -> ASGIApp:
    """Return the application behind its guard."""
    routes = [
        Route("/", show(words), methods=GET),
        Route("/", act(enter), methods=POST),
        Route("/t/{words}", show(scanned), methods=GET),
        Route("/card", show(card), methods=GET),
        Route("/card", act(save), methods=POST),
        Mount("/static", StaticFiles(directory=HERE / "static")),
    ]
    app = Starlette(
        routes=routes, exception_handlers={HTTPException: refused_plainly, Exception: guard.plainly}
    )
    app.state.desk, app.state.codes, app.state.guesses = desk, codes, Guesses()
    app.state.tokens = guard.Tokens(desk.secret)
    app.state.places = Signer(desk.secret, salt="card")
    app.state.note = plain_note
    return guard.Guard(app, host_ok)


def words(desk: Desk, request: Request) -> Response:
    """Ask for the four words."""
    said = wording.PUPILS_AGAIN if request.query_params.get("again") else ""
    if _open(desk) is None:
        said = wording.PUPILS_CLOSED
    return render(request, "words.html", WordsPage(wording.PUPILS_TITLE, said))


def enter(desk: Desk, request: Request, form: FormData) -> Response:
    """Open a team's card for its four words."""
    return _enter(desk, request, text(form, "words", 120))


def scanned(desk: Desk, request: Request) -> Response:
    """Open a team's card for the words in a scanned address."""
    return _enter(desk, request, request.path_params["words"][:120])


def card(desk: Desk, request: Request) -> Response:
    """Show the team's own card."""
    place = _place(desk, request)
    if place is None:
        return back("/")
    of, team = place
    mine = next((c for c in entries.cards(desk, of) if c.team == team), None)
    hand = desk.in_hand()
    drawn = hand.numbers.get(team, "") if hand is not None else ""
    page = OwnCardPage(
        title=wording.PUPILS_TITLE,
        team=team,
        session=say.session(of),
        thermometer=mine.thermometer if mine else drawn,
        celsius=mine.celsius_written if mine else "",
        fahrenheit=mine.fahrenheit_written if mine else "",
        said=_said(request.query_params.get("said", "")),
    )
    return render(request, "own_card.html", page)


def save(desk: Desk, request: Request, form: FormData) -> Response:
    """Write the team's own card; the answer comes after it is on the disk."""
    place = _place(desk, request)
    if place is None:
        return back("/")
    of, team = place
    cells = {name: text(form, name, 80) for name in ("thermometer", "celsius", "fahrenheit")}
    entries.save(desk, of, team, cells, "pupils", wording.REASON_TYPED)
    odd = any(entry.parse(cells[name]).kind == "unreadable" for name in ("celsius", "fahrenheit"))
    return back("/card?said=" + ("odd" if odd else "saved"))


def _said(word: str) -> str:
    return {"saved": wording.PUPILS_SAVED, "odd": wording.PUPILS_ODD}.get(word, "")


def _enter(desk: Desk, request: Request, typed: str) -> Response:
    of = _open(desk)
    if of is None:
        return back("/")
    guesses: Guesses = request.app.state.guesses
    address = request.client.host if request.client else ""
    if guesses.must_wait(address):
        raise HTTPException(429, wording.PUPILS_WAIT)
    team = request.app.state.codes.team(of, typed, desk.teams())
    if team is None:
        guesses.wrong(address)
        return back("/?again=1")
    response = back("/card")
    value = request.app.state.places.sign(f"{of}|{quote(team)}").decode()
    response.set_cookie(CARD, value, httponly=True, samesite="strict")
    return response


def _place(desk: Desk, request: Request) -> tuple[Session, str] | None:
    """Return session and team of this tablet; the cookie is worth nothing once the session closes."""
    of = _open(desk)
    try:
        value = request.app.state.places.unsign(request.cookies.get(CARD, "")).decode()
    except (BadSignature, UnicodeDecodeError):
        return None
    session, _, team = value.partition("|")
    label = unquote(team)
    if of is None or session != str(of) or label not in desk.settings.teams:
        return None
    return of, label


def _open(desk: Desk) -> Session | None:
    hand = desk.in_hand() if desk.has_settings else None
    return hand.session if hand is not None and hand.step == "cards" else None
