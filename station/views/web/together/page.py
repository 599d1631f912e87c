"""What pages of the class screen share: their words, and whether the room is dark."""

from __future__ import annotations

from types import ModuleType

from starlette.requests import Request

from station.views.web.together import wording


class Page:
    """A page of the class screen; its templates say labels with ``page.words``."""

    @property
    def words(self) -> ModuleType:
        """Return the sentences of the class screen."""
        return wording


def dark(request: Request) -> bool:
    """Tell whether the page is shown in a dark room."""
    return request.query_params.get("room") == "dark"


def with_room(address: str, request: Request, **more: str) -> str:
    """Return an address that keeps the room as it is."""
    asked = [
        *(f"{name}={value}" for name, value in more.items() if value),
        *(["room=dark"] if dark(request) else []),
    ]
    return f"{address}?{'&'.join(asked)}" if asked else address
