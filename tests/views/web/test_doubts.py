"""What is asked about cards: on hand-made cards, and over the invented class, whose truth is known."""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path

import pytest

from station import source
from station.record import entry
from station.settings import Settings, parse
from station.store import Card
from station.views.web.doubts import Doubts, doubts, fingerprint, history

ROOT = Path(__file__).parents[3]
DAY = dt.date(2026, 10, 7)
BOX = """
[site]
timezone = "America/Chicago"
[box]
celsius_division = 1
fahrenheit_division = 2
[[thermometers]]
number = "9"
retired = "2026-10-01"
"""


def settings() -> Settings:
    return parse(BOX)


def card(team: str, number: str, celsius: str, fahrenheit: str) -> Card:
    c, f = entry.parse(celsius), entry.parse(fahrenheit)
    return Card(0, team, number, celsius, fahrenheit, c.value, f.value, "", "teacher")


def ask(*cards: Card, rows: tuple = (), kept: dict | None = None) -> Doubts:
    return doubts(cards, history(rows), settings(), DAY, kept or {})


@pytest.mark.parametrize(
    ("number", "celsius", "fahrenheit", "kinds"),
    [
        ("1", "12", "54", ()),
        ("1", "12,5", "54 F", ()),
        ("1", "\u22125", "23", ()),
        ("1", "12", "", ("missing",)),
        ("1", "", "", ()),
        ("1", "absent", "absent", ()),
        ("1", "-", "-", ()),
        ("1", "broken", "", ()),
        ("1", "twelve", "54", ("not a number",)),
        ("1", "70", "158", ("off the scale", "off the scale")),
        ("1", "54 F", "54", ("other unit",)),
        ("1", "12", "44", ("two scales",)),
        ("1", "54", "12", ("off the scale",)),
        ("9", "12", "54", ("resting",)),
    ],
)
def test_asks_about_form_and_the_two_scales(number, celsius, fahrenheit, kinds):
    asked = ask(card("Alder", number, celsius, fahrenheit)).cards
    assert asked.get("Alder", ()) == kinds


def test_a_number_on_two_cards_is_asked_about_on_both():
    asked = ask(card("Alder", "3", "12", "54"), card("Aspen", "3", "12", "54")).cards
    assert asked == {"Alder": ("number twice",), "Aspen": ("number twice",)}


def test_a_kept_card_is_not_asked_again_until_it_changes():
    first = card("Alder", "1", "12", "44")
    assert not ask(first, kept={"Alder": fingerprint(first)}).cards
    assert ask(card("Alder", "1", "12", "46"), kept={"Alder": fingerprint(first)}).cards


def test_after_two_teams_the_question_is_about_the_thermometer():
    rows = (("Alder", "11", 12.0, 50.0), ("Aspen", "11", 10.0, 46.0))
    asked = ask(card("Beech", "11", "15", "55"), rows=rows)
    assert not asked.cards
    assert asked.thermometers == ("11",)
    once = ask(card("Beech", "11", "15", "55"), rows=rows[:1])
    assert once.cards == {"Beech": ("two scales",)}


def test_one_team_with_a_habit_does_not_turn_the_question_to_the_thermometer():
    rows = (("Alder", "3", 12.0, 50.0), ("Alder", "3", 10.0, 46.0))
    asked = ask(card("Alder", "3", "15", "55"), rows=rows)
    assert asked.cards == {"Alder": ("two scales",)}
    assert asked.thermometers == ()


def test_a_class_with_one_scale_is_not_asked_for_the_other():
    rows = tuple(("Alder", "1", float("nan"), 50.0) for _ in range(6))
    assert not ask(card("Beech", "2", "", "51"), rows=rows).cards


def test_honest_cards_of_larch_lane_are_asked_less_than_once_a_day():
    recording = source.open(ROOT / "recordings/larch-lane")
    truth = json.loads((ROOT / "tests/scenario/larch-lane-truth.json").read_text())
    odd = {row["line"] for row in truth["rows"] if row["slip"] or row["manner"] or row["column_kind"]}
    plants = {team for team, plan in truth["teams"].items() if plan["kinds"]}
    honest_asked, number_11, days, asked_all = 0, 0, set(), 0
    rows = recording.frames.readings
    before: list[tuple[str, str, float, float]] = []
    for (date, _part), mine in rows.groupby(["date", "session"], sort=False):
        days.add(date)
        cards = [
            Card(line, team, number, cw, fw, None if c != c else c, None if f != f else f, "", "import")
            for line, team, number, cw, fw, c, f in mine[
                [
                    "line",
                    "team",
                    "thermometer",
                    "celsius_written",
                    "fahrenheit_written",
                    "celsius",
                    "fahrenheit",
                ]
            ].itertuples(index=False)
        ]
        found = doubts(cards, history(before), recording.settings, date, {})
        before += [
            tuple(row)
            for row in mine[["team", "thermometer", "celsius", "fahrenheit"]].itertuples(index=False)
        ]
        for one in cards:
            if one.team not in found.cards:
                continue
            asked_all += 1
            if one.thermometer == "11" and "two scales" in found.cards[one.team] and one.team not in plants:
                number_11 += 1
            elif one.row not in odd and one.thermometer != "11":
                honest_asked += 1
    print(f"asked {asked_all}, honest {honest_asked} in {len(days)} days, number 11: {number_11}")
    assert len(days) == 30
    assert honest_asked < len(days)
    assert number_11 == 2
    assert asked_all > 30  # the planted slips do get asked about
