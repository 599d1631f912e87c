"""The teacher's pages as one application; it answers on loopback only."""

from __future__ import annotations

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles
from starlette.types import ASGIApp

from station.views.web import guard, live
from station.views.web.codes import Codes
from station.views.web.desk import Desk
from station.views.web.live import News, Wire
from station.views.web.pages import (
    after,
    before,
    box,
    cards,
    care,
    cover,
    first,
    friday,
    place,
    session,
    setup,
    table_cards,
    teams,
    together,
)
from station.views.web.pictures import Pictures, picture
from station.views.web.render import HERE, act, refused, show
from station.views.web.together import lesson, screen

GET, POST = ["GET"], ["POST"]


def teacher_app(desk: Desk, codes: Codes) -> ASGIApp:
    """Return the application behind its guard; ``codes`` are those of the pupils' page."""
    routes = [
        Route("/", show(before.before), methods=GET),
        Route("/first", show(first.first), methods=GET),
        Route("/first", act(first.check), methods=POST),
        Route("/first/fits", act(first.fits), methods=POST),
        Route("/bring", act(first.bring), methods=POST),
        Route("/session", show(session.session), methods=GET),
        Route("/session/take", act(session.take), methods=POST),
        Route("/session/note", act(session.note), methods=POST),
        Route("/session/missed", act(session.missed), methods=POST),
        Route("/session/out", act(session.out), methods=POST),
        Route("/session/draw", act(session.draw), methods=POST),
        Route("/session/pairs", act(session.pairs), methods=POST),
        Route("/session/teams", act(session.teams), methods=POST),
        Route("/cards", show(cards.cards), methods=GET),
        Route("/cards", act(cards.save_all), methods=POST),
        Route("/cards/now", show(cards.now), methods=GET),
        Route("/cards/row", act(cards.row), methods=POST),
        Route("/cards/keep", act(cards.keep), methods=POST),
        Route("/cards/in", act(cards.all_in), methods=POST),
        Route("/cards/open", act(cards.open_again), methods=POST),
        Route("/cards/undo", act(cards.undo), methods=POST),
        Route("/tables", show(table_cards.table_cards), methods=GET),
        Route("/tables/{n:int}.svg", show(table_cards.picture), methods=GET),
        Route("/together", show(together.together), methods=GET),
        Route("/together", act(together.prepare), methods=POST),
        Route("/screen/live", live.screen_stream, methods=GET),
        Route("/screen/{date}/{part}/{form}/{step:int}", show(screen.screen), methods=GET),
        Route("/screen/{date}/{part}/{form}/{step:int}", act(screen.reveal), methods=POST),
        Route("/lesson/{key}/{step:int}", show(lesson.lesson), methods=GET),
        Route("/after", show(after.after), methods=GET),
        Route("/after", act(after.decide), methods=POST),
        Route("/teams", show(cover.cover), methods=GET),
        Route("/teams/shown", show(teams.teams), methods=GET),
        Route("/teams/shown", act(cover.uncover), methods=POST),
        Route("/teams/coach", act(teams.coach), methods=POST),
        Route("/friday", show(friday.friday), methods=GET),
        Route("/box", show(box.box), methods=GET),
        Route("/box", act(box.rest), methods=POST),
        Route("/place", show(place.place), methods=GET),
        Route("/settings", show(setup.settings), methods=GET),
        Route("/settings", act(setup.save), methods=POST),
        Route("/settings/check", act(setup.check), methods=POST),
        Route("/care", show(care.care), methods=GET),
        Route("/care/check", act(care.check), methods=POST),
        Route("/care/{form}", show(care.take), methods=GET),
        Route("/picture/{name}.svg", show(picture), methods=GET),
        Route("/live", live.stream, methods=GET),
        Route("/live/now", live.once, methods=GET),
        Mount("/static", StaticFiles(directory=HERE / "static")),
    ]
    app = Starlette(routes=routes, exception_handlers={HTTPException: refused, Exception: guard.plainly})
    app.state.desk, app.state.codes = desk, codes
    app.state.tokens = guard.Tokens(desk.secret)
    app.state.pictures = Pictures()
    app.state.wire = Wire(lambda: _news(desk))
    return guard.Guard(app, guard.loopback_host, large=("/bring",))


def _news(desk: Desk) -> News:
    if not desk.has_settings:
        return {}
    return {"probe": before.probe_sentence(desk), "entries": list(desk.book.entries_seen())}
