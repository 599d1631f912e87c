"""From a page's dataclass to HTML, and from a plain function to a route."""

from __future__ import annotations

import functools
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined, select_autoescape
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from station.base.exceptions import StationException
from station.views.web import wording
from station.views.web.desk import Desk
from station.views.web.guard import Tokens

HERE = Path(__file__).parent


@dataclass(frozen=True)
class Shown:
    """A picture on a page: its address, and what it shows for those who don't see it."""

    source: str
    words: str


def address(key: str) -> str:
    """Return where the picture ``picture-<name>`` is answered."""
    return f"/picture/{key.removeprefix('picture-')}.svg"


Show = Callable[[Desk, Request], Response]
Act = Callable[[Desk, Request, FormData], Response]


@functools.cache
def _templates() -> Environment:
    made = Environment(
        loader=FileSystemLoader(HERE / "templates"),
        autoescape=select_autoescape(default=True, default_for_string=True),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.globals["w"] = wording
    return made


def render(request: Request, template: str, page: Any, status: int = 200) -> Response:
    """Return a page: the template filled from the page's dataclass and nothing else."""
    desk: Desk = request.app.state.desk
    tokens: Tokens = request.app.state.tokens
    html = (
        _templates()
        .get_template(template)
        .render(
            page=page,
            token=tokens.of(request),
            rehearsal=desk.rehearsal,
            query=request.query_params,
        )
    )
    response = HTMLResponse(html, status)
    tokens.put(request, response)
    return response


def show(function: Show) -> Callable[[Request], Any]:
    """Make a route of a function that shows a page; it runs in a thread."""

    @functools.wraps(function)
    async def route(request: Request) -> Response:
        return await run_in_threadpool(_plainly, request, function, request.app.state.desk, request)

    return route


def act(function: Act) -> Callable[[Request], Any]:
    """Make a route of a function that changes something: only for a form of our own pages."""

    @functools.wraps(function)
    async def route(request: Request) -> Response:
        form = await request.form(max_fields=400, max_files=40)
        try:
            request.app.state.tokens.check(request, str(form.get("token", "")))
            return await run_in_threadpool(_plainly, request, function, request.app.state.desk, request, form)
        finally:
            await form.close()

    return route


def _plainly(request: Request, function: Callable[..., Response], *arguments: Any) -> Response:
    """Answer a situation of ours with its one sentence."""
    try:
        return function(*arguments)
    except StationException as situation:
        answer: Callable[..., Response] = getattr(request.app.state, "note", note)
        return answer(request, str(situation), 400)


def note(request: Request, sentence: str, status: int) -> Response:
    """Return a page that says one sentence and leads back."""
    return render(request, "note.html", {"title": wording.NOTE_TITLE, "sentence": sentence}, status)


def plain_note(request: Request, sentence: str, status: int) -> Response:
    """Return the same for the pupils' page, which leads to nothing but itself."""
    page = {"title": wording.PUPILS_TITLE, "sentence": sentence}
    return render(request, "plain_note.html", page, status)


async def refused_plainly(request: Request, exception: Exception) -> Response:
    """Answer what is refused on the pupils' page."""
    assert isinstance(exception, HTTPException)
    sentence = wording.NOT_FOUND if exception.status_code == 404 else str(exception.detail)
    return plain_note(request, sentence, exception.status_code)


async def refused(request: Request, exception: Exception) -> Response:
    """Answer what the framework refuses (no such page, not allowed) with one sentence."""
    assert isinstance(exception, HTTPException)
    sentence = wording.NOT_FOUND if exception.status_code == 404 else str(exception.detail)
    return note(request, sentence, exception.status_code)


def back(url: str) -> Response:
    """Send the browser to a page after a form."""
    return RedirectResponse(url, 303)


def text(form: FormData, name: str, most: int = 200) -> str:
    """Return a field of a form as text, cut at what such a field can be."""
    value = form.get(name, "")
    return value[:most].strip() if isinstance(value, str) else ""
