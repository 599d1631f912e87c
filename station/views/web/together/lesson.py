"""A lesson: first a guess, then the picture, the number, and a question; on paper all on one sheet."""

from __future__ import annotations

import json
import time
from dataclasses import dataclass, replace

from markupsafe import Markup
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from station.views.web import wording as pages_wording
from station.views.web.desk import Desk
from station.views.web.render import render
from station.views.web.together import wording
from station.views.web.together.lessons import LESSONS, Needs, Scene
from station.views.web.together.lessons.eye import stages
from station.views.web.together.page import Page, dark, with_room

PARTS = 4
INVENTED = "invented"


@dataclass(frozen=True)
class LessonPage(Page):
    """One part of a lesson. The page holds all parts and shows them up to ``part``; paper shows them all.

    ``eye`` is the geometry for the script that moves the eye, as JSON, empty in other lessons. ``source``
    says whose cards these are; ``missing`` what the class must gather first, empty where there is a picture.
    """

    title: str
    part: int
    ask: str
    picture: Markup
    see: str
    numbers: tuple[str, ...]
    more: tuple[str, ...]
    source: str
    missing: str
    eye: str
    eye_label: str
    eye_says: str
    furthest: int
    back: str
    on: str
    switch: str
    switch_words: str
    label: str
    dark: bool


@dataclass(frozen=True)
class LessonLink:
    """A lesson on the way in: its address and its heading."""

    address: str
    heading: str


def links() -> tuple[LessonLink, ...]:
    """Return the lessons in their order."""
    return tuple(LessonLink(f"/lesson/{key}/1", lesson.heading) for key, lesson in LESSONS.items())


def lesson(desk: Desk, request: Request) -> Response:
    """Show one part of a lesson, from the class's own cards or from the invented class."""
    key, part = request.path_params["key"], request.path_params["step"]
    known = LESSONS.get(key)
    if known is None or not 1 <= part <= PARTS:
        raise HTTPException(404, pages_wording.NOT_FOUND)
    invented = request.query_params.get("from") == INVENTED and desk.tools.demo is not None and known.own
    found = known.scene(desk.demo_assessment() if invented else desk.assessment())
    source = INVENTED if invented else ""

    def at(n: int) -> str:
        return with_room(f"/lesson/{key}/{n}", request, **{"from": source})

    switch, words = "", ""
    if known.own and desk.tools.demo is not None:
        switch = with_room(f"/lesson/{key}/{part}", request, **{"from": "" if invented else INVENTED})
        words = wording.SWITCH_CLASS if invented else wording.SWITCH_DEMO
    if isinstance(found, Needs):
        page = _missing(known.heading, found, switch, words, dark(request))
    else:
        page = _page(known.heading, found, part, invented or desk.rehearsal, known.own, dark(request))
        page = _led(
            page, at(part - 1) if part > 1 else "", at(part + 1) if part < PARTS else "", switch, words
        )
    desk.screen_shown_s = time.monotonic()
    return render(request, "lesson.html", page)


def _page(heading: str, scene: Scene, part: int, invented: bool, own: bool, dark_: bool) -> LessonPage:
    source = wording.FROM_DEMO if invented else wording.FROM_CLASS
    if not own:
        source = wording.EYE_SOURCE
    eye = scene.eye
    return LessonPage(
        title=heading,
        part=part,
        ask=scene.ask,
        picture=scene.picture,
        see=scene.see,
        numbers=scene.numbers,
        more=scene.more,
        source=source.format(what=scene.what),
        missing="",
        eye="" if eye is None else json.dumps({**eye.data(), "stages": stages(eye)}),
        eye_label="" if eye is None else eye.label,
        eye_says="" if eye is None else eye.says(30.0),
        furthest=0 if eye is None else eye.furthest,
        back="",
        on="",
        switch="",
        switch_words="",
        label=wording.PARTS[part - 1],
        dark=dark_,
    )


def _led(page: LessonPage, back: str, on: str, switch: str, words: str) -> LessonPage:
    return replace(page, back=back, on=on, switch=switch, switch_words=words)


def _missing(heading: str, needs: Needs, switch: str, words: str, dark_: bool) -> LessonPage:
    return LessonPage(
        title=heading,
        part=PARTS,
        ask="",
        picture=Markup(""),
        see="",
        numbers=(),
        more=(),
        source="",
        missing=wording.TOO_FEW.format(what=needs.what),
        eye="",
        eye_label="",
        eye_says="",
        furthest=0,
        back="",
        on="",
        switch=switch,
        switch_words=words,
        label="",
        dark=dark_,
    )
