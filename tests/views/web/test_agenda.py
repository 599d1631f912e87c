"""What of the probe stays unseen, and that a restart finds the session in hand again."""

from __future__ import annotations

import datetime as dt

from station.record.model import Session
from station.settings import parse
from station.views.web.agenda import Agenda, InHand, hidden

from .conftest import AFTERNOON, DAY, SMALL

MORNING = Session(DAY, "morning")
SETTINGS = parse(SMALL)


def spans(today=DAY, hand=None, shown=(), missed=()):
    zone = SETTINGS.site.zone
    found = hidden(SETTINGS, today, hand, shown, missed)
    return [(f"{s.start.astimezone(zone):%d %H:%M}", f"{s.end.astimezone(zone):%d %H:%M}") for s in found]


def test_a_school_day_is_unseen_until_its_sessions_are_shown():
    assert spans() == [("11 00:00", "12 00:00")]
    assert spans(shown=[MORNING]) == [("11 09:30", "12 00:00")]
    assert spans(shown=[MORNING, AFTERNOON]) == []
    assert spans(missed=[MORNING, AFTERNOON]) == []


def test_the_last_session_of_the_day_opens_the_whole_day():
    assert spans(shown=[AFTERNOON]) == []


def test_a_weekend_hides_nothing():
    assert spans(today=dt.date(2026, 11, 14)) == []


def test_cards_of_an_earlier_day_hide_that_day():
    hand = InHand(dt.date(2026, 11, 9), "afternoon")
    assert spans(today=dt.date(2026, 11, 14), hand=hand) == [("09 09:30", "10 00:00")]


def test_opening_the_entry_again_after_the_reveal_hides_nothing_new():
    hand = InHand(DAY, "afternoon", step="shown")
    assert spans(hand=hand, shown=[AFTERNOON]) == []


def test_the_session_in_hand_survives_a_restart(book):
    agenda = Agenda(book)
    agenda.take(AFTERNOON)
    at = dt.datetime(2026, 11, 11, 20, 0, tzinfo=dt.UTC)
    made = agenda.change(out_since=at, numbers={"Alder": "3"}, helped=("Beech",), predictions=9)
    assert Agenda(book).in_hand() == made


def test_taking_the_next_session_closes_the_one_before(book):
    agenda = Agenda(book)
    agenda.take(MORNING)
    agenda.take(AFTERNOON)
    assert agenda.shown() == {MORNING}
    assert agenda.in_hand().session == AFTERNOON
