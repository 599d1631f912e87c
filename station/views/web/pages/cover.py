"""The closed door before private pages: while the class screen is open it asks about the projector first."""

from __future__ import annotations

import functools
import time
from dataclasses import dataclass

from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import Response

from station.views.web import wording
from station.views.web.desk import Desk
from station.views.web.render import Show, back, render

COVER, SHOWN = "/teams", "/teams/shown"


@dataclass(frozen=True)
class CoverPage:
    """A closed door: nothing of any team is on it. ``asks`` tells whether it asks about the projector."""

    title: str
    ask: str
    open: str
    asks: bool
    shown: str


def cover(desk: Desk, request: Request) -> Response:
    """Show the closed door; an earlier answer about the projector ends here."""
    desk.projector_off_s = float("-inf")
    asks = desk.screen_open
    page = CoverPage(
        title=wording.TEAMS_TITLE,
        ask=wording.COVER_PROJECTOR if asks else wording.COVER_TEXT,
        open=wording.COVER_PROJECTOR_OFF if asks else wording.COVER_OPEN,
        asks=asks,
        shown=SHOWN,
    )
    return render(request, "cover.html", page)


def uncover(desk: Desk, request: Request, form: FormData) -> Response:
    """Take the answer that the projector is off."""
    desk.projector_off_s = time.monotonic()
    return back(SHOWN)


def private(function: Show) -> Show:
    """Make what a function shows private: by whatever address it is asked for, the question comes first."""

    @functools.wraps(function)
    def guarded(desk: Desk, request: Request) -> Response:
        return back(COVER) if desk.projector_in_doubt else function(desk, request)

    return guarded
