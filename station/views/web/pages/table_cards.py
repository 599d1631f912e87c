"""Table cards: a team's label, the address and its four words, also as a picture for a tablet's camera."""

from __future__ import annotations

import io
from dataclasses import dataclass

from starlette.requests import Request
from starlette.responses import Response

from station.base.exceptions import BadEntry
from station.views.web import say, wording
from station.views.web.codes import Codes
from station.views.web.desk import Desk
from station.views.web.render import render


@dataclass(frozen=True)
class TableCard:
    """What stands on one table: words with spaces, and where the picture of the address is."""

    team: str
    words: str
    picture: str


@dataclass(frozen=True)
class TableCardsPage:
    """The cards of the session in hand; ``why_not`` says why there are none."""

    title: str
    session: str
    address: str
    why_not: str
    cards: tuple[TableCard, ...]


def table_cards(desk: Desk, request: Request) -> Response:
    """Show the table cards, to be printed."""
    hand = desk.in_hand()
    why_not = ""
    if desk.address is None:
        why_not = wording.TABLE_CLOSED
    elif hand is None or hand.step != "cards":
        why_not = wording.TABLE_NO_SESSION
    made: tuple[TableCard, ...] = ()
    if hand is not None and not why_not:
        codes: Codes = request.app.state.codes
        words = codes.of(hand.session, desk.teams())
        made = tuple(
            TableCard(team, code.replace("-", " "), f"/tables/{n}.svg")
            for n, (team, code) in enumerate(words.items())
        )
    page = TableCardsPage(
        title=wording.TABLE_TITLE,
        session=say.session(hand.session) if hand else "",
        address=desk.address.url if desk.address else "",
        why_not=why_not,
        cards=made,
    )
    return render(request, "table_cards.html", page)


def picture(desk: Desk, request: Request) -> Response:
    """Return the address of one card as a QR code (ISO/IEC 18004), error correction M."""
    import segno

    hand, n = desk.in_hand(), request.path_params["n"]
    teams = desk.teams()
    if hand is None or desk.address is None or not 0 <= n < len(teams):
        raise BadEntry(wording.NOT_FOUND)
    words = request.app.state.codes.of(hand.session, teams)[teams[n]]
    out = io.BytesIO()
    segno.make(f"{desk.address.url}t/{words}", error="m", micro=False).save(
        out, kind="svg", scale=4, border=4
    )
    return Response(out.getvalue(), media_type="image/svg+xml")
