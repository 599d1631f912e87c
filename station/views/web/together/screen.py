"""The class screen: the staged reveal, a page a step; no team on the wire, the probe from its own step on."""

from __future__ import annotations

import time
from dataclasses import dataclass

from markupsafe import Markup
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from station.base.exceptions import BadEntry
from station.record import entry
from station.record.model import Session
from station.views.web import say
from station.views.web import wording as pages_wording
from station.views.web.desk import Desk
from station.views.web.render import render, text
from station.views.web.together import steps, wording
from station.views.web.together.dots import class_dots
from station.views.web.together.page import Page, dark, with_room


@dataclass(frozen=True)
class ScreenPage(Page):
    """One step as the class sees it: a question, sentences, a drawing. Nothing here knows a team.

    ``back`` and ``on`` are addresses of neighbouring steps, empty at the ends; ``reveals`` is this step's
    own address where going on shows the probe for the first time, which takes a form. ``why`` says to the
    teacher how the question of the day was chosen.
    """

    title: str
    says: tuple[str, ...]
    picture: Markup
    why: str
    back: str
    on: str
    reveals: str
    label: str
    dark: bool


def screen(desk: Desk, request: Request) -> Response:
    """Show one step."""
    of, form, at = _where(desk, request)
    stages = steps.STAGES[form]
    stage = stages[at]
    hand = desk.in_hand()
    mine = hand if hand is not None and hand.session == of else None
    if mine is not None and mine.step == "cards":
        raise BadEntry(pages_wording.TOGETHER_OPEN)
    may_show = desk.is_shown(of)
    if stage in steps.WITH_PROBE and not may_show:
        return RedirectResponse(_address(of, form, stages.index("probe") - 1, request), 303)
    assessment = desk.assessment()
    dots = class_dots(
        assessment,
        of,
        add_waiting=mine is not None and mine.all_dots,
        with_probe=stage in steps.WITH_PROBE and may_show,
    )
    made = steps.step(assessment, dots, stage, form, None if mine is None else mine.predictions)
    following = stages[at + 1] if at + 1 < len(stages) else ""
    reveals = following == "probe" and not may_show
    label = wording.STEP.format(n=steps.NUMBER[stage])
    if form == "short":
        label = wording.SHORT_STEP.format(n=at + 1)
    page = ScreenPage(
        title=made.heading,
        says=made.says,
        picture=made.picture,
        why=wording.WHY.format(why=made.why) if made.why else "",
        back=_address(of, form, at - 1, request) if at else "",
        on=_address(of, form, at + 1, request) if following and not reveals else "",
        reveals=_address(of, form, at, request) if reveals else "",
        label=f"{say.session(of)} · {label}",
        dark=dark(request),
    )
    desk.screen_shown_s = time.monotonic()
    return render(request, "screen.html", page)


def reveal(desk: Desk, request: Request, form: FormData) -> Response:
    """Show the probe from now on: the one step that is taken by a form, so that no stray address takes it."""
    of, kind, at = _where(desk, request)
    hand = desk.in_hand()
    stages = steps.STAGES[kind]
    if hand is None or hand.session != of or hand.step == "cards":
        raise BadEntry(pages_wording.TOGETHER_NOT_IN_HAND)
    if at + 1 >= len(stages) or stages[at + 1] != "probe":
        raise BadEntry(pages_wording.NOT_FOUND)
    if hand.step == "in":
        desk.agenda.change(step="shown")
    room = "?room=dark" if text(form, "room") == "dark" else ""
    return RedirectResponse(f"/screen/{say.key(of)}/{kind}/{at + 2}{room}", 303)


def waiting(desk: Desk, of: Session) -> int:
    """Return how many cards of a session wait for a second look."""
    return len(class_dots(desk.assessment(), of).waiting)


def _where(desk: Desk, request: Request) -> tuple[Session, steps.Form, int]:
    params = request.path_params
    of = Session(entry.date(params["date"]), params["part"])
    form: steps.Form = "short" if params["form"] == "short" else "long"
    at = params["step"] - 1
    if desk.part(of.part) is None or params["form"] != form or not 0 <= at < len(steps.STAGES[form]):
        raise BadEntry(pages_wording.NOT_FOUND)
    return of, form, at


def _address(of: Session, form: steps.Form, at: int, request: Request) -> str:
    return with_room(f"/screen/{say.key(of)}/{form}/{at + 1}", request)
