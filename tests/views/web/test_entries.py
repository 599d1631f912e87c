"""Cards go into the book once, change with their reason, and come back with undo."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import pytest

from station.base.exceptions import BadEntry, BookUnwritable
from station.store import Typed
from station.views.web import wording
from station.views.web.entries import cards, keep, missing, questions, save, undo

from .conftest import AFTERNOON, DAY, asked, token


def test_one_card_a_team_however_often_it_is_saved(desk):
    desk.agenda.take(AFTERNOON)
    for celsius in ("8", "9", "9"):
        save(
            desk, AFTERNOON, "Alder", {"celsius": celsius, "fahrenheit": "46", "thermometer": "01"}, "teacher"
        )
    (card,) = cards(desk, AFTERNOON)
    assert (card.thermometer, card.celsius, card.fahrenheit) == ("1", 9.0, 46.0)
    assert len(desk.book.readings()) == 1


def test_many_at_once_leave_one_card_each(desk):
    desk.agenda.take(AFTERNOON)

    def type_it(n: int) -> None:
        save(desk, AFTERNOON, ("Alder", "Beech", "Cedar")[n % 3], {"celsius": str(n)}, "pupils")

    with ThreadPoolExecutor(12) as pool:
        list(pool.map(type_it, range(60)))
    assert sorted(card.team for card in cards(desk, AFTERNOON)) == ["Alder", "Beech", "Cedar"]
    assert len(desk.book.readings()) == 3


def test_undo_takes_changes_back_one_by_one(desk):
    desk.agenda.take(AFTERNOON)
    save(desk, AFTERNOON, "Alder", {"celsius": "8"}, "teacher")
    save(desk, AFTERNOON, "Alder", {"celsius": "18"}, "teacher")
    assert undo(desk, AFTERNOON) == "Alder"
    assert cards(desk, AFTERNOON)[0].celsius == 8.0
    assert undo(desk, AFTERNOON) == "Alder"
    assert cards(desk, AFTERNOON) == []
    assert undo(desk, AFTERNOON) is None
    assert wording.REASON_UNDONE in set(desk.book.table("edits")["reason"])


def test_a_blank_row_is_no_card(desk):
    desk.agenda.take(AFTERNOON)
    save(desk, AFTERNOON, "Alder", {"celsius": "", "fahrenheit": " "}, "teacher")
    assert cards(desk, AFTERNOON) == []
    assert missing(desk, AFTERNOON) == ["Alder", "Beech", "Cedar"]


def test_what_is_written_stays_written(desk):
    desk.agenda.take(AFTERNOON)
    save(desk, AFTERNOON, "Alder", {"celsius": "8,5 °C", "fahrenheit": "about 47"}, "teacher")
    (card,) = cards(desk, AFTERNOON)
    assert (card.celsius_written, card.fahrenheit_written) == ("8,5 °C", "about 47")
    assert (card.celsius, card.fahrenheit) == (8.5, None)


@pytest.mark.parametrize(("team", "cell"), [("Dahlia", "8"), ("Alder", "8" * 41)])
def test_strange_cards_are_refused(desk, team, cell):
    desk.agenda.take(AFTERNOON)
    with pytest.raises(BadEntry):
        save(desk, AFTERNOON, team, {"celsius": cell}, "teacher")
    assert len(desk.book.readings()) == 0


def test_keep_is_remembered_until_the_card_changes(desk):
    desk.agenda.take(AFTERNOON)
    save(desk, AFTERNOON, "Alder", {"celsius": "8", "fahrenheit": "60"}, "teacher")
    assert questions(desk, AFTERNOON).cards == {"Alder": ("two scales",)}
    keep(desk, AFTERNOON, "Alder")
    assert questions(desk, AFTERNOON).cards == {}
    save(desk, AFTERNOON, "Alder", {"fahrenheit": "62"}, "teacher")
    assert questions(desk, AFTERNOON).cards == {"Alder": ("two scales",)}


def test_after_all_are_in_a_change_carries_its_reason(desk):
    desk.agenda.take(AFTERNOON)
    client = asked(desk)
    form = {"token": token(client), "session": "2026-11-11/afternoon", "team": "Alder", "celsius": "8",
            "fahrenheit": "46", "thermometer": "1"}  # fmt: skip
    assert client.post("/cards/row", data=form).status_code == 200
    client.post("/cards/in", data={"token": form["token"]})
    client.post("/cards/row", data={**form, "celsius": "9", "reason": wording.CARDS_REASONS[1]})
    edit = desk.book.table("edits").iloc[-1]
    assert (edit["column"], edit["old"], edit["new"], edit["reason"]) == (
        "celsius",
        "8",
        "9",
        wording.CARDS_REASONS[1],
    )


def test_a_page_of_another_session_changes_nothing(desk):
    desk.agenda.take(AFTERNOON)
    client = asked(desk)
    form = {"token": token(client), "session": f"{DAY}/morning", "team": "Alder", "celsius": "8"}
    assert client.post("/cards/row", data=form).status_code == 400
    assert len(desk.book.readings()) == 0


def test_one_card_that_cannot_be_read_costs_no_other(desk):
    good = Typed(DAY, "afternoon", "Alder", {"celsius": "8"}, "pupils")
    bad = Typed(DAY, "afternoon", "Beech", {"celsius": "8"}, "somebody")
    first, second, third = desk.book.write_cards([good, bad, replace(good, team="Cedar")])
    assert [change.new for change in first] == ["8"]
    assert isinstance(second, BadEntry)
    assert [change.new for change in third] == ["8"]
    assert sorted(desk.book.readings()["team"]) == ["Alder", "Cedar"]


def test_a_full_disk_is_told_to_everybody_who_waited(desk, monkeypatch):
    def full(typed):
        raise BookUnwritable("the disk is full")

    monkeypatch.setattr(desk.book, "write_cards", full)

    def told(n: int) -> str:
        with pytest.raises(BookUnwritable) as said:
            save(desk, AFTERNOON, ("Alder", "Beech", "Cedar")[n % 3], {"celsius": str(n)}, "pupils")
        return str(said.value)

    with ThreadPoolExecutor(8) as pool:
        assert set(pool.map(told, range(16))) == {"the disk is full"}
