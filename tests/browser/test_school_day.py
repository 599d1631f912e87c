"""The whole school day in the browser, by keyboard where a teacher types, beside a live simulated probe."""

from __future__ import annotations

import re
from urllib.parse import urlsplit

from station.store import open_book

from .conftest import TEAMS, book_with_record, live, settings, until

#: Cards of 14 teams as written; two of them ask for a second look, one team is absent.
CARDS = {
    "Alder": ("1", "8", "46"), "Aspen": ("2", "8", "47"), "Beech": ("3", "9", "48"),
    "Cedar": ("4", "8", "36"), "Elm": ("5", "", "46"), "Fir": ("6", "8,5", "47"),
    "Hazel": ("7", "10", "50"), "Holly": ("8", "8", "46"),
    "Larch": ("9", "absent", "absent"), "Maple": ("10", "9", "48"), "Oak": ("11", "8", "46"),
    "Pine": ("12", "8", "47"), "Rowan": ("13", "9", "49"), "Willow": ("14", "8", "46"),
}  # fmt: skip
VALUE = re.compile(r"(?<![\d.])(?:7[.,]4\d*|45[.,]4\d*)(?![\d])")
#: Key presses that a teacher has to make beyond the values themselves.
MOST_KEYS = 60


def test_the_whole_school_day(window, tmp_path):
    book = tmp_path / "class.book"
    book_with_record(book, settings(TEAMS))
    served = live(tmp_path, book)
    try:
        _day(window, served.address, book)
    finally:
        served.end()
    assert window.troubles == []
    hosts = {urlsplit(url).hostname for url in window.requests if not url.startswith("data:")}
    assert hosts == {"127.0.0.1"}
    with open_book(book) as kept:
        written = {c.team: (c.thermometer, c.celsius_written, c.fahrenheit_written) for c in _cards(kept)}
        assert written == CARDS
        assert kept.table("decisions")["class_value"].tolist() == [8.0]
        assert kept.counts()[0] > 80


def _cards(book):
    rows = book.readings()
    return book.cards_of(rows["date"].iloc[0], rows["session"].iloc[0])


def _day(window, address, book):
    page = window.page
    page.goto(f"{address}/")
    page.wait_for_selector("text=The probe is alive")
    page.click("text=To the session")
    page.click("text=Take this session")
    page.check("text=faint")
    page.check("text=leaves")
    page.click("text=Save >> nth=0")
    page.click("text=They are out")
    page.wait_for_selector("text=Out since")
    for path in (
        "/",
        "/after",
        "/box",
        "/place",
        "/care",
        "/teams/shown",
        "/together",
        "/friday",
        "/settings",
    ):
        page.goto(address + path)

    page.goto(f"{address}/cards")
    keys = 0
    for thermometer, celsius, fahrenheit in CARDS.values():
        for value in (thermometer, celsius, fahrenheit):
            page.keyboard.type(value)
            page.keyboard.press("Enter")
            keys += 1
    assert keys <= MOST_KEYS
    until(page, "[...document.querySelectorAll('.saved')].every((state) => state.textContent === 'saved')")
    marks = page.locator("[data-mark]:visible")
    assert marks.count() == 2
    assert page.inner_text("#again").startswith("2 cards ask")
    assert not page.locator("#ask").is_visible()
    marks.first.focus()
    assert "further apart" in page.inner_text("#ask")
    page.keyboard.press("Enter")  # keep is the default
    page.wait_for_selector("text=One card asks")
    page.click("text=All cards are in")
    page.wait_for_selector("text=Open the entry again")

    page.goto(f"{address}/together")
    before = len(window.bodies)
    assert not [url for url, body in window.bodies if VALUE.search(body)]
    with page.expect_popup() as opened:
        page.click("text=Open the class screen")
    screen = opened.value
    screen.wait_for_load_state()
    for step in range(1, 9):
        screen.wait_for_url(f"**/long/{step}")
        screen.wait_for_load_state()
        body = screen.content()
        assert bool(VALUE.search(body)) is (step == 7), step  # the question after it asks without the number
        assert not any(re.search(rf"\b{team}\b", body) for team in TEAMS), step
        if step < 8:
            screen.keyboard.press("ArrowRight")
    assert not [
        (url, team) for url, text in window.bodies[before:] if "/screen/" in url
        for team in TEAMS if re.search(rf"\b{team}\b", text)
    ]  # fmt: skip

    page.goto(f"{address}/teams")
    assert "Is the projector off" in page.inner_text("main")
    page.goto(f"{address}/teams/shown")
    assert "Is the projector off" in page.inner_text("main")
    page.keyboard.press("s")
    page.wait_for_selector("text=too early to say (1 of 8)")
    screen.close()
    page.goto(f"{address}/after")
    page.fill("input[name=value]", "8")
    page.click("button:has-text('On the record')")
    page.wait_for_selector("text=On the record: 8")
    page.goto(f"{address}/teams")
    page.keyboard.press("s")
    page.wait_for_url("**/teams/shown")

    page.wait_for_selector("text=too early to say (1 of 8)")
    page.keyboard.press("s")
    page.wait_for_url("**/teams")
