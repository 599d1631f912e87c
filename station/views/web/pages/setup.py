"""Settings: everything in station.toml, checked as it is typed; every state before is kept."""

from __future__ import annotations

import contextlib
import datetime as dt
from dataclasses import dataclass

from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from station import settings as settings_file
from station.base.exceptions import StationException
from station.views import phrases
from station.views.web import wording
from station.views.web.desk import Desk
from station.views.web.render import render

#: Longest text of settings, letters; a class of 40 teams and 40 thermometers stays below a tenth.
LONGEST = 100_000


@dataclass(frozen=True)
class KeyRow:
    """One key of the settings as it is explained: section, name, unit, default and its reason."""

    section: str
    name: str
    unit: str
    default: str
    reason: str


@dataclass(frozen=True)
class SettingsPage:
    """The text, what is said of it, what it can hold, and when it changed."""

    title: str
    text: str
    said: str
    keys: tuple[KeyRow, ...]
    history: tuple[str, ...]


def settings(desk: Desk, request: Request) -> Response:
    """Show the settings; such as cannot be used are shown with what is in the way, to be mended here."""
    text = desk.book.settings_text()
    found = _said(text)
    return render(
        request, "settings.html", _page(desk, text, "" if found == wording.SETTINGS_FINE else found)
    )


def check(desk: Desk, request: Request, form: FormData) -> Response:
    """Say whether a text would do."""
    return JSONResponse({"said": _said(_text(form))})


def save(desk: Desk, request: Request, form: FormData) -> Response:
    """Keep the text if it will do; else show it again with what is in the way."""
    text = _text(form)
    try:
        settings_file.parse(text)
    except StationException as situation:
        return render(request, "settings.html", _page(desk, text, str(situation)), 400)
    if text != desk.book.settings_text():
        desk.book.set_settings_text(text, "teacher", wording.SETTINGS_REASON)
    return render(request, "settings.html", _page(desk, text, wording.SETTINGS_SAVED))


def _page(desk: Desk, text: str, said: str) -> SettingsPage:
    zone: dt.tzinfo = dt.UTC
    with contextlib.suppress(StationException):
        zone = desk.settings.site.zone
    history = [
        wording.SETTINGS_CHANGE.format(
            at=phrases.moment(one.at.astimezone(zone)), by=one.by, reason=one.reason or phrases.number(None)
        )
        for one in reversed(desk.book.settings_history()[-10:])
    ]
    keys = [KeyRow(k.section, k.name, k.unit, k.default, k.reason) for k in settings_file.KEYS]
    return SettingsPage(wording.SETTINGS_TITLE, text, said, tuple(keys), tuple(history))


def _text(form: FormData) -> str:
    value = form.get("text", "")
    return value[:LONGEST].replace("\r\n", "\n") if isinstance(value, str) else ""


def _said(text: str) -> str:
    try:
        settings_file.parse(text)
    except StationException as situation:
        return str(situation)
    return wording.SETTINGS_FINE
