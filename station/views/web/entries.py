"""Cards into the book: one card a team and session, changes with their reason, undo, and what to ask."""

from __future__ import annotations

from collections.abc import Mapping

from station.base.exceptions import BadEntry
from station.record.model import Session
from station.store import Card, Typed
from station.views.web import wording
from station.views.web.desk import Desk
from station.views.web.doubts import Doubts, History, doubts, fingerprint, history

#: Longest cell, letters: a value, a unit and a word fit; a story belongs on the card.
LONGEST = 40


def cards(desk: Desk, session: Session) -> list[Card]:
    """Return the cards of a session, one a team (the first, should a folder have brought two)."""
    found: dict[str, Card] = {}
    for card in desk.book.cards_of(session.date, session.part):
        found.setdefault(card.team, card)
    return [card for card in found.values() if _written(card)]


def _written(card: Card) -> bool:
    return any((card.thermometer, card.celsius_written, card.fahrenheit_written))


def save(
    desk: Desk, session: Session, team: str, cells: Mapping[str, str], by: str, reason: str = ""
) -> None:
    """Write a team's card.

    Raises
    ------
    BadEntry
        The team is not of this class, or a cell is longer than a cell can be.
    """
    if team not in desk.settings.teams:
        raise BadEntry(wording.CARDS_NO_TEAM)
    if any(len(cell) > LONGEST for cell in cells.values()):
        raise BadEntry(wording.CARDS_TOO_LONG.format(n=LONGEST))
    changed: dict[str, str] = {name: cell.strip() for name, cell in cells.items()}
    hand = desk.in_hand()
    known = any(card.team == team for card in desk.book.cards_of(session.date, session.part))
    if not known and not any(changed.values()):
        return
    if not known and hand is not None and hand.session == session and team in hand.helped:
        changed["note"] = wording.NOTE_HELPED
    changes = desk.writer.write(Typed(session.date, session.part, team, changed, by, reason))
    if by == "teacher":
        desk.undo.extend((session, change.row, change.column, change.old) for change in changes)


def undo(desk: Desk, session: Session) -> str | None:
    """Take back the last change made at this desk in a session; return the team's label, None for nothing."""
    with desk.lock:
        while desk.undo:
            of, row, column, old = desk.undo.pop()
            if of != session:
                continue
            desk.book.edit_reading(row, column, old, "teacher", wording.REASON_UNDONE)
            return next((c.team for c in desk.book.cards_of(of.date, of.part) if c.row == row), None)
    return None


def keep(desk: Desk, session: Session, team: str) -> None:
    """Remember that a card is as it is written, so that it is not asked about again."""
    hand = desk.in_hand()
    card = next((card for card in cards(desk, session) if card.team == team), None)
    if hand is not None and hand.session == session and card is not None:
        desk.agenda.change(kept={**hand.kept, team: fingerprint(card)})


def questions(desk: Desk, session: Session) -> Doubts:
    """Return what to ask about a session's cards."""
    hand = desk.in_hand()
    kept = hand.kept if hand is not None and hand.session == session else {}
    return doubts(cards(desk, session), past(desk, session), desk.settings, session.date, kept)


def past(desk: Desk, session: Session) -> History:
    """Return the class's cards before a session; read once a session, as they do not change meanwhile."""
    kept = desk.past
    if kept is not None and kept[0] == session:
        return kept[1]
    rows = desk.book.readings()
    order = {part.name: position for position, part in enumerate(desk.settings.sessions.parts)}
    this = (session.date, order.get(session.part, 0))
    place = [
        (date, order.get(part, 0)) < this for date, part in rows[["date", "session"]].itertuples(index=False)
    ]
    columns = ["team", "thermometer", "celsius", "fahrenheit"]
    made = history(rows.loc[place, columns].itertuples(index=False, name=None))
    desk.past = (session, made)
    return made


def missing(desk: Desk, session: Session) -> list[str]:
    """Return the teams without a card in a session, in the order of the alphabet."""
    there = {card.team for card in cards(desk, session)}
    return [team for team in desk.teams() if team not in there]
