"""The place: does the sun reach it, when, and which coming sessions; in words and as a calendar."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from starlette.requests import Request
from starlette.responses import Response

from station import source
from station.base.exceptions import UnusableInput
from station.views import phrases
from station.views.web import wording
from station.views.web.desk import Desk
from station.views.web.render import Shown, address, render
from station.views.web.rows import rows
from station.views.wording_place import PICTURE_TITLES

if TYPE_CHECKING:
    from station.place.places import Places

WEEKS = 8
_making = threading.Lock()


@dataclass(frozen=True)
class Ahead:
    """One planned session: how likely the sun is on the probe under a clear sky, in words and per cent."""

    session: str
    chance: str
    times: str


@dataclass(frozen=True)
class PlacePage:
    """The survey as sentences, and the sessions ahead that the sun may reach.

    ``settings`` tells whether the settings lack what a survey needs.
    """

    title: str
    sentences: tuple[str, ...]
    ahead: tuple[Ahead, ...]
    pictures: tuple[Shown, ...]
    settings: bool = False


def place(desk: Desk, request: Request) -> Response:
    """Show what is known of the place."""
    from station.views import site_words

    zone = desk.settings.site.zone
    try:
        places = surveyed(desk)
    except UnusableInput as situation:
        page = PlacePage(wording.PLACE_TITLE, (f"{situation}.",), (), (), settings=True)
        return render(request, "place.html", page)
    forecast = places.place.forecast
    likely = forecast[forecast["sunlit_probability"] >= site_words.POSSIBLE]
    ahead = []
    for row in rows(likely):
        times = ""
        if all(row[name] is not None and row[name] == row[name] for name in ("start", "end")):
            start, end = (f"{row[name].astimezone(zone):%H:%M}" for name in ("start", "end"))
            times = wording.PLACE_TIMES.format(start=start, end=end)
        ahead.append(
            Ahead(
                session=phrases.session_name(row["date"], row["session"]),
                chance=_percent(row["sunlit_probability"]),
                times=times,
            )
        )
    page = PlacePage(
        title=wording.PLACE_TITLE,
        sentences=tuple(site_words.paragraphs(places, zone, WEEKS)),
        ahead=tuple(ahead),
        pictures=tuple(_pictures()) if places.place.exposure else (),
    )
    return render(request, "place.html", page)


def _pictures() -> Iterator[Shown]:
    for key, words in PICTURE_TITLES.items():
        yield Shown(address(key), words)
    yield Shown("/picture/probe.svg", wording.PLACE_PICTURE)


def _percent(chance: float) -> str:
    return wording.PLACE_SURE if chance > 0.99 else f"{100 * chance:.0f}{phrases.NARROW}%"


def surveyed(desk: Desk) -> Places:
    """Return the survey of what may be seen now, made once a comparison."""
    found = desk.assessment()
    with _making:
        if desk.survey is None or desk.survey[0] is not found:
            recording = source.Recording(desk.settings, found.frames, desk.book.path, desk.book.path.stem)
            desk.survey = (found, source.survey_site(recording, WEEKS))
        return desk.survey[1]
