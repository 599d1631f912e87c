"""The threat model, line by line: each test is one line of the text in the docs."""

from __future__ import annotations

import datetime as dt
import re

import pytest
from starlette.testclient import TestClient

from station.record.model import Sample
from station.views.web import guard, wording
from station.views.web.codes import Codes
from station.views.web.entries import save
from station.views.web.pupils import pupils_app

from .conftest import AFTERNOON, NOW, asked, token

FORMS = [
    "/cards/row", "/cards/keep", "/cards/in", "/cards/open", "/cards/undo", "/cards", "/session/take",
    "/session/note", "/session/missed", "/session/out", "/session/draw", "/session/pairs", "/session/teams",
    "/together", "/after", "/teams/coach", "/teams/shown", "/box", "/settings", "/settings/check",
    "/care/check", "/first", "/first/fits", "/bring", "/screen/2026-11-11/afternoon/long/6",
]  # fmt: skip


@pytest.mark.parametrize("host", ["127.0.0.1", "127.0.0.1:8630", "localhost:8630", "[::1]:8630"])
def test_teacher_pages_answer_to_their_own_name(desk, host):
    assert asked(desk).get("/", headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    "host", ["evil.example", "192.168.1.5:8630", "127.0.0.1.evil.example", "", "localhost.evil"]
)
def test_another_name_for_this_machine_gets_nothing(desk, host):
    answer = asked(desk).get("/", headers={"host": host})
    assert answer.status_code == 400
    assert answer.text == wording.GUARD_HOST


@pytest.mark.parametrize("path", FORMS)
def test_every_form_needs_the_token_of_its_browser(desk, path):
    client = asked(desk)
    before = desk.book.entries_seen(), desk.book.settings_text(), desk.in_hand()
    client.get("/cards")
    assert client.post(path, data={"token": "guess"}).status_code == 403
    assert asked(desk).post(path, data={"token": client.cookies["station"]}).status_code == 403
    assert (desk.book.entries_seen(), desk.book.settings_text(), desk.in_hand()) == before


def test_all_forms_are_tried(desk):
    app = asked(desk).app.app
    posts = {route.path for route in app.routes if "POST" in (getattr(route, "methods", None) or ())}
    tried = {re.sub(r"^/screen/.*", "/screen/{date}/{part}/{form}/{step:int}", path) for path in FORMS}
    assert posts == tried


def test_a_form_of_another_site_is_refused_even_with_the_token(desk):
    client = asked(desk)
    data = {"token": token(client)}
    assert client.post("/cards/undo", data=data, headers={"origin": "http://evil.example"}).status_code == 403
    assert client.post("/cards/undo", data=data, headers={"origin": "null"}).status_code == 403
    assert client.post("/cards/undo", data=data, headers={"sec-fetch-site": "cross-site"}).status_code == 403


def test_cookies_stay_on_this_site_and_out_of_scripts(desk):
    cookie = asked(desk).get("/").headers["set-cookie"].lower()
    assert "samesite=strict" in cookie
    assert "httponly" in cookie


def test_the_policy_allows_nothing_inline_and_nothing_from_elsewhere(desk):
    client = asked(desk)
    for path in ("/", "/nowhere", "/cards", "/static/paper.css"):
        policy = client.get(path).headers["content-security-policy"]
        assert "unsafe" not in policy
        assert "default-src 'none'" in policy
        assert "script-src 'self'" in policy
        assert "frame-ancestors 'none'" in policy
        assert "http" not in policy


def test_templates_hold_no_inline_script_or_style():
    from station.views.web.render import HERE

    for path in (HERE / "templates").glob("*.html"):
        text = path.read_text("utf-8")
        assert not re.search(r"<style|\sstyle=|\son\w+=|<script(?![^>]*\ssrc=)|javascript:", text), path.name
        assert not re.search(r"(?:src|href)=[\"']https?:", text), path.name


def test_what_people_type_is_escaped(desk):
    sly = "<img src=x onerror=alert(1)>"
    desk.agenda.take(AFTERNOON)
    save(desk, AFTERNOON, "Alder", {"celsius": sly, "thermometer": "1"}, "teacher")
    page = asked(desk).get("/cards").text
    assert sly not in page
    assert "&lt;img src=x" in page


def test_a_body_that_is_too_large_is_refused(desk):
    client = asked(desk)
    answer = client.post("/cards/row", content=b"x" * (guard.BODY_LIMIT + 1))
    assert answer.status_code == 413

    def drip():
        for _ in range(guard.BODY_LIMIT // 4096 + 2):
            yield b"a" * 4096

    kind = {"content-type": "application/x-www-form-urlencoded"}
    assert client.post("/cards/row", content=drip(), headers=kind).status_code == 413


def test_a_trouble_inside_shows_nothing_of_the_inside(desk, monkeypatch):
    monkeypatch.setattr(type(desk), "in_hand", lambda self: 1 / 0)
    client = TestClient(asked(desk).app, base_url="http://127.0.0.1", raise_server_exceptions=False)
    answer = client.get("/cards")
    assert answer.status_code == 500
    assert answer.text == wording.GUARD_TROUBLE
    assert "default-src" in answer.headers["content-security-policy"]


@pytest.mark.parametrize("method", ["PUT", "DELETE", "TRACE", "OPTIONS"])
def test_only_reading_and_sending_forms(desk, method):
    assert asked(desk).request(method, "/cards").status_code == 405


@pytest.mark.parametrize("path", ["/static/../desk.py", "/static/..%2fdesk.py", "/static/%2e%2e/desk.py"])
def test_no_file_outside_the_static_ones(desk, path):
    answer = asked(desk).get(path)
    assert answer.status_code == 404
    assert "class Desk" not in answer.text


def test_every_change_is_in_the_book_with_its_role(desk):
    desk.agenda.take(AFTERNOON)
    save(desk, AFTERNOON, "Alder", {"celsius": "8", "fahrenheit": "46"}, "pupils")
    save(desk, AFTERNOON, "Alder", {"celsius": "9"}, "teacher", "typed other than the card")
    edit = desk.book.table("edits").iloc[-1]
    assert (edit["by"], edit["old"], edit["new"], edit["reason"]) == (
        "teacher", "8", "9", "typed other than the card",
    )  # fmt: skip


def pupils(desk, codes, peer="10.0.0.7"):
    app = pupils_app(desk, codes, host_ok=lambda host, scope: True)
    return TestClient(app, base_url="http://10.0.0.5:8631", client=(peer, 50000), follow_redirects=False)


def entered(client, words):
    client.get("/")
    return client.post("/", data={"token": client.cookies["station"], "words": words})


def test_the_pupils_port_knows_no_page_of_the_teacher(desk):
    codes = Codes(desk.book)
    client = pupils(desk, codes)
    paths = {route.path for route in asked(desk).app.app.routes} - {"/", "/static"}
    assert len(paths) > 20
    for path in paths:
        assert client.get(path.replace("{n:int}", "1").replace("{step:int}", "1")).status_code == 404


def test_the_pupils_page_checks_its_host(desk):
    app = pupils_app(desk, Codes(desk.book))
    scope = {"server": ("10.0.0.5", 8631)}
    assert guard.own_address("10.0.0.5:8631", scope)
    assert not guard.own_address("evil.example", scope)
    assert not guard.own_address("10.0.0.6:8631", scope)
    assert TestClient(app, base_url="http://evil.example").get("/").status_code == 400


def test_a_team_sees_and_changes_only_its_own_card(desk):
    codes = Codes(desk.book)
    desk.agenda.take(AFTERNOON)
    save(desk, AFTERNOON, "Beech", {"celsius": "8.25", "thermometer": "2"}, "teacher")
    client = pupils(desk, codes)
    words = codes.of(AFTERNOON, desk.teams())
    assert entered(client, words["Alder"]).headers["location"] == "/card"
    page = client.get("/card").text
    assert "Alder" in page
    assert "Beech" not in page
    assert "8.25" not in page
    form = {"token": client.cookies["station"], "team": "Beech", "celsius": "30", "fahrenheit": "86"}
    client.post("/card", data=form)
    cards = {card.team: card.celsius_written for card in desk.book.cards_of(*_key())}
    assert cards == {"Alder": "30", "Beech": "8.25"}


def _key():
    return AFTERNOON.date, AFTERNOON.part


def test_a_code_ends_with_its_session(desk):
    codes = Codes(desk.book)
    desk.agenda.take(AFTERNOON)
    words = codes.of(AFTERNOON, desk.teams())["Alder"]
    client = pupils(desk, codes)
    entered(client, words)
    assert client.get("/card").status_code == 200
    desk.agenda.change(step="in")
    assert client.get("/card").headers["location"] == "/"
    assert client.post("/card", data={"token": client.cookies["station"], "celsius": "1"}).status_code == 303
    assert desk.book.cards_of(*_key()) == []
    other = type(AFTERNOON)(AFTERNOON.date, "morning")
    desk.agenda.take(other)
    assert client.get("/card").headers["location"] == "/"
    assert entered(client, words).headers["location"] == "/?again=1"


def test_guesses_are_limited_and_other_tablets_go_on(desk):
    codes = Codes(desk.book)
    desk.agenda.take(AFTERNOON)
    words = codes.of(AFTERNOON, desk.teams())["Alder"]
    app = pupils_app(desk, codes, host_ok=lambda host, scope: True)

    def tablet(peer):
        return TestClient(app, base_url="http://10.0.0.5:8631", client=(peer, 5), follow_redirects=False)

    guesser, other = tablet("10.0.0.66"), tablet("10.0.0.7")
    entered(other, words)
    answers = [entered(guesser, f"acorn apple lake {n}").status_code for n in range(12)]
    assert answers == [303] * 8 + [429] * 4
    assert entered(guesser, words).status_code == 429
    assert entered(tablet("10.0.0.8"), words).headers["location"] == "/card"
    assert other.get("/card").status_code == 200


def test_a_made_up_cookie_opens_no_card(desk):
    desk.agenda.take(AFTERNOON)
    client = pupils(desk, Codes(desk.book))
    client.cookies["card"] = f"{AFTERNOON}|Alder.c2lnbmF0dXJl"
    assert client.get("/card").headers["location"] == "/"


def test_the_probe_s_value_reaches_no_page_while_cards_are_open(larch_lane):
    from .test_pages import PAGES, holds_value

    larch_lane.agenda.take(AFTERNOON)
    client = asked(larch_lane)
    for path in PAGES:
        assert not holds_value(client.get(path)), path
    for path in ("/care/book", "/care/recording", "/care/class"):
        assert client.get(path).status_code == 400, path


def test_pictures_do_not_change_with_what_must_stay_unseen(larch_lane):
    larch_lane.agenda.take(AFTERNOON)
    client = asked(larch_lane)
    paths = [f"/picture/{name}.svg" for name in ("probe", "session", "teams", "sun-days")]
    before = [client.get(path).content for path in paths]
    start = NOW - dt.timedelta(minutes=50)
    hot = [Sample(start + dt.timedelta(seconds=n), 31.0) for n in range(200)]
    larch_lane.book.append_samples(hot)
    assert [client.get(path).content for path in paths] == before
    larch_lane.agenda.change(step="shown")
    assert [client.get(path).content for path in paths] != before
