"""Cards: one row a team, typed by keyboard, saved row by row; the probe has no part in it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from station.base.exceptions import BadEntry
from station.record import entry
from station.record.model import Session
from station.views import phrases
from station.views.web import entries, say, wording
from station.views.web.agenda import InHand
from station.views.web.desk import Desk
from station.views.web.render import back, render, text

CELLS = ("thermometer", "celsius", "fahrenheit")


@dataclass(frozen=True)
class CardRow:
    """One team's row: the cells as written, whether they are in the book, whether they are asked about."""

    team: str
    thermometer: str
    celsius: str
    fahrenheit: str
    there: bool
    asks: bool


@dataclass(frozen=True)
class CardsPage:
    """The session's cards; ``closed`` once all are in, when a change needs its reason."""

    title: str
    session: str
    key: str
    head: str
    rows: tuple[CardRow, ...]
    again: str
    thermometers: tuple[str, ...]
    closed: bool
    missing: str
    undone: str
    pupils: str


def cards(desk: Desk, request: Request) -> Response:
    """Show the cards of the session in hand."""
    hand = desk.in_hand()
    if hand is None:
        page = CardsPage(wording.CARDS_TITLE, "", "", "", (), "", (), False, "", "", "")
        return render(request, "cards.html", page)
    of = hand.session
    there = {card.team: card for card in entries.cards(desk, of)}
    asked = entries.questions(desk, of)
    rows = []
    for team in desk.teams():
        card = there.get(team)
        rows.append(
            CardRow(
                team=team,
                thermometer=card.thermometer if card else hand.numbers.get(team, ""),
                celsius=card.celsius_written if card else "",
                fahrenheit=card.fahrenheit_written if card else "",
                there=card is not None,
                asks=team in asked.cards,
            )
        )
    missing = entries.missing(desk, of) if hand.step != "cards" else []
    from_pupils = sum(card.by == "pupils" for card in there.values())
    page = CardsPage(
        title=wording.CARDS_TITLE,
        session=say.session(of),
        key=say.key(of),
        head=_head(desk, of),
        rows=tuple(rows),
        again=_again(len(asked.cards)),
        thermometers=tuple(wording.CARDS_THERMOMETER.format(number=n) for n in asked.thermometers),
        closed=hand.step != "cards",
        missing=wording.CARDS_NOT_IN.format(teams=phrases.listed(missing)) if missing else "",
        undone=_undone(request.query_params.get("undone")),
        pupils=wording.CARDS_PUPILS.format(n=from_pupils) if from_pupils else "",
    )
    return render(request, "cards.html", page)


def now(desk: Desk, request: Request) -> Response:
    """Return what is asked about the cards, for a page that is open."""
    return JSONResponse(_news(desk, _of(desk, request.query_params.get("session", "")).session))


def row(desk: Desk, request: Request, form: FormData) -> Response:
    """Save one row; the answer comes after it is on the disk."""
    hand = _of(desk, text(form, "session"))
    cells = {name: _cell(form, name) for name in CELLS}
    entries.save(desk, hand.session, text(form, "team"), cells, "teacher", _reason(hand, form))
    return JSONResponse(_news(desk, hand.session))


def keep(desk: Desk, request: Request, form: FormData) -> Response:
    """Remember that a card says what is written."""
    hand = _of(desk, text(form, "session"))
    entries.keep(desk, hand.session, text(form, "team"))
    return JSONResponse(_news(desk, hand.session))


def save_all(desk: Desk, request: Request, form: FormData) -> Response:
    """Save every row at once, for a browser without scripts."""
    hand = _of(desk, None)
    for team in desk.teams():
        cells = {name: _cell(form, f"{name}:{team}") for name in CELLS}
        if cells["celsius"] or cells["fahrenheit"]:
            entries.save(desk, hand.session, team, cells, "teacher", _reason(hand, form))
    return back("/cards")


def all_in(desk: Desk, request: Request, form: FormData) -> Response:
    """Say that the entries are in."""
    _of(desk, None)
    desk.agenda.change(step="in")
    return back("/cards")


def open_again(desk: Desk, request: Request, form: FormData) -> Response:
    """Go back to entering; what was revealed stays revealed."""
    hand = _of(desk, None)
    if hand.step == "in":
        desk.agenda.change(step="cards")
    return back("/cards")


def undo(desk: Desk, request: Request, form: FormData) -> Response:
    """Take the last change back."""
    from urllib.parse import quote

    team = entries.undo(desk, _of(desk, None).session)
    return back(f"/cards?undone={quote(team or '')}")


def _of(desk: Desk, key: str | None) -> InHand:
    """Return the session in hand, refusing a page that was opened for another one."""
    hand = desk.in_hand()
    if hand is None or (key is not None and key != say.key(hand.session)):
        raise BadEntry(wording.GUARD_TOKEN)
    return hand


def _cell(form: FormData, name: str) -> str:
    """Return a cell in full, so that one that is too long is refused and not cut."""
    value = form.get(name, "")
    return value.strip() if isinstance(value, str) else ""


def _reason(hand: InHand, form: FormData) -> str:
    if hand.step == "cards":
        return wording.REASON_TYPED
    reason = text(form, "reason")
    return reason if reason in wording.CARDS_REASONS else wording.CARDS_REASONS[0]


def _news(desk: Desk, of: Session) -> Mapping[str, Any]:
    asked = entries.questions(desk, of)
    return {
        "head": _head(desk, of),
        "asks": {
            team: list(dict.fromkeys(wording.CARDS_KIND[kind] for kind in kinds))
            for team, kinds in asked.cards.items()
        },
        "again": _again(len(asked.cards)),
        "thermometers": [wording.CARDS_THERMOMETER.format(number=n) for n in asked.thermometers],
        "cards": {
            card.team: [card.thermometer, card.celsius_written, card.fahrenheit_written]
            for card in entries.cards(desk, of)
        },
    }


def _head(desk: Desk, of: Session) -> str:
    there = [c for c in entries.cards(desk, of) if entry.plain(c.celsius_written + c.fahrenheit_written)]
    return wording.CARDS_HEAD.format(session=say.session(of), n=len(there), all=len(desk.teams()))


def _again(n: int) -> str:
    if n < 2:
        return (wording.CARDS_AGAIN_NONE, wording.CARDS_AGAIN_ONE)[n]
    return wording.CARDS_AGAIN.format(n=n)


def _undone(team: str | None) -> str:
    if team is None:
        return ""
    return wording.CARDS_UNDONE.format(team=team) if team else wording.CARDS_UNDO_NONE
