"""Friday: the ways to thermometers, place, tables, settings and care."""

from __future__ import annotations

from dataclasses import dataclass

from starlette.requests import Request
from starlette.responses import Response

from station.views.web import wording
from station.views.web.desk import Desk
from station.views.web.render import render


@dataclass(frozen=True)
class FridayPage:
    """Addresses, names and one sentence each."""

    title: str
    ways: tuple[tuple[str, str, str], ...]


def friday(desk: Desk, request: Request) -> Response:
    """Show the ways."""
    return render(request, "friday.html", FridayPage(wording.FRIDAY_TITLE, wording.FRIDAY_WAYS))
