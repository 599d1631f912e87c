"""The class screen on the wire: no team, no probe before its step, no way out, no word of a quiz."""

from __future__ import annotations

import dataclasses
import re
import shutil

import pytest

from station.record.model import Sample
from station.store import open_book
from station.views.web import wording as pages_wording
from station.views.web.desk import Desk, Tools
from station.views.web.entries import save
from station.views.web.together import lesson, screen, steps, wording
from station.views.web.together.lessons import LESSONS

from .conftest import AFTERNOON, DAY, NOW, Alive, asked, token

LONG = [f"/screen/{DAY}/afternoon/long/{n}" for n in range(1, len(steps.STAGES["long"]) + 1)]
SHORT = [f"/screen/{DAY}/afternoon/short/{n}" for n in range(1, len(steps.STAGES["short"]) + 1)]
BEFORE = [*LONG[:6], *SHORT[:2]]
PARTS = [f"/lesson/{key}/{part}" for key in LESSONS for part in (1, 2, 3, 4)]
#: Words of quizzes and of blame; "nobody is wrong" is the one sentence that may hold one of them.
BANNED = re.compile(
    r"\b(scores?|scored|points?|rank\w*|winn\w+|wins?|leaderboard|countdown|seconds left|quiz|right|wrong"
    r"|correct|incorrect|best team|worst|grade|fail\w*|mistake\w*|cheat\w*|blame\w*|fault)\b",
    re.IGNORECASE,
)


def fill(desk):
    desk.agenda.take(AFTERNOON)
    sound = [
        str(n) for n in range(1, 17) if n != 11
    ]  # the plates of 11 have slipped, so its cards would wait
    for at, team in enumerate(desk.teams()):
        cells = {"thermometer": sound[at], "celsius": str(8 + at % 3), "fahrenheit": str(46 + 2 * (at % 3))}
        save(desk, AFTERNOON, team, cells, "teacher")
    desk.agenda.change(step="in")


def body(client, path):
    """Return an answer without the token of its form, which differs from browser to browser."""
    return re.sub(r'name="token" value="[^"]*"', "", client.get(path).text)


def test_no_team_in_any_answer(larch_lane):
    fill(larch_lane)
    client = asked(larch_lane)
    client.post(LONG[5], data={"token": token(client)})
    for path in [*LONG, *SHORT, *PARTS]:
        answer = client.get(path)
        assert answer.status_code == 200, path
        said = answer.text + str(answer.headers)
        for team in larch_lane.teams():
            assert not re.search(rf"\b{team}\b", said), (path, team)


def test_no_team_in_answers_of_the_rehearsal_or_of_the_invented_class(larch_lane):
    from station.cli.rehearsal import invented_class

    fill(larch_lane)
    larch_lane.rehearsal = True
    larch_lane.tools = Tools(demo=invented_class)
    client = asked(larch_lane)
    for path in [*BEFORE, *[f"/lesson/{key}/3?from=invented" for key in LESSONS]]:
        said = client.get(path).text
        assert not any(re.search(rf"\b{team}\b", said) for team in larch_lane.teams()), path
    assert wording.FROM_DEMO.split("{")[0] in client.get("/lesson/leaning/3?from=invented").text


def test_until_its_step_no_answer_depends_on_what_the_probe_sent(larch_lane, tmp_path, clock):
    """Two books that differ only in the probe's record of today answer the same, byte for byte."""
    fill(larch_lane)
    for suffix in ("", "-wal", "-shm"):
        origin = larch_lane.book.path.with_name(larch_lane.book.path.name + suffix)
        if origin.exists():
            shutil.copy(origin, tmp_path / f"other.book{suffix}")
    with open_book(tmp_path / "other.book") as book:
        start = NOW.replace(hour=20, minute=0, second=15)  # the session is 14:00 to 14:15 in Chicago
        book.append_samples([Sample(start.replace(minute=n), 9.876) for n in range(15)])
        other = Desk(book, probe=Alive(clock), now=clock)
        here, there = asked(larch_lane), asked(other)
        for path in ["/together", *BEFORE, *[p for p in PARTS if p.endswith("/3")]]:
            assert body(here, path) == body(there, path), path
        for client in (here, there):
            client.post(LONG[5], data={"token": token(client)})
        assert body(here, LONG[6]) != body(there, LONG[6])  # the two books do differ


def test_the_probe_s_step_has_no_address_before_its_form(larch_lane):
    fill(larch_lane)
    client = asked(larch_lane)
    for path in (LONG[6], LONG[7], SHORT[2]):
        answer = client.get(path)
        assert answer.status_code == 303
        assert answer.headers["location"] in (LONG[5], SHORT[1])
    assert client.post(LONG[5], data={}).status_code == 403  # not without the token of our own page
    for path in (LONG[0], LONG[4], LONG[6], SHORT[0]):
        client.post(path, data={"token": token(client)})
        assert not larch_lane.is_shown(AFTERNOON), path  # only from the step before it
    client.post(SHORT[1], data={"token": token(client)})
    assert larch_lane.is_shown(AFTERNOON)


def test_the_screen_stays_closed_while_cards_are_entered(larch_lane):
    fill(larch_lane)
    larch_lane.agenda.change(step="cards")
    client = asked(larch_lane)
    for path in [*LONG, *SHORT]:
        answer = client.get(path)
        assert answer.status_code == 400
        assert pages_wording.TOGETHER_OPEN in answer.text
    assert client.post(LONG[5], data={"token": token(client)}).status_code == 400
    assert not larch_lane.is_shown(AFTERNOON)


def test_the_screen_leads_nowhere_but_along_its_steps(larch_lane):
    fill(larch_lane)
    client = asked(larch_lane)
    pages = {path: client.get(path).text for path in [*BEFORE, *PARTS]}
    client.post(LONG[5], data={"token": token(client)})
    pages |= {path: client.get(path).text for path in (LONG[6], LONG[7], SHORT[2])}
    for path, page in pages.items():
        links = re.findall(r'(?:href|action|src)="([^"]+)"', page)
        assert len(links) > 2
        assert all(link.startswith(("/screen/", "/lesson/", "/static/")) for link in links), (path, links)


@pytest.mark.parametrize("path", [LONG[1], "/lesson/leaning/2"])
def test_a_private_page_asks_about_the_projector_once_a_screen_was_shown(larch_lane, path):
    fill(larch_lane)
    client = asked(larch_lane)
    assert pages_wording.COVER_PROJECTOR not in client.get("/teams").text
    client.get(path)
    page = client.get("/teams").text
    assert pages_wording.COVER_PROJECTOR in page
    assert "Alder" not in page


def test_nothing_of_a_quiz_and_no_word_of_blame(larch_lane):
    fill(larch_lane)
    client = asked(larch_lane)
    client.post(LONG[5], data={"token": token(client)})
    sentences = [v for v in vars(wording).values() if isinstance(v, str) and v != wording.__doc__]
    sentences.remove(wording.Q_EXPLAINED)
    shown = [re.sub(r"<[^>]+>", " ", client.get(path).text) for path in [*LONG, *SHORT, *PARTS]]
    for text in [*sentences, *(page.replace(wording.Q_EXPLAINED, "") for page in shown)]:
        found = BANNED.search(text.replace("__", ""))
        assert found is None, (found, text)
    assert "wrong" in wording.Q_EXPLAINED  # so that the exception is still needed


def test_pages_obey_their_policy(larch_lane):
    fill(larch_lane)
    client = asked(larch_lane)
    for path in [*BEFORE, *PARTS]:
        answer = client.get(path)
        assert "'unsafe" not in answer.headers["content-security-policy"]
        assert not re.search(r'\sstyle="|<style|<script(?! src)|\son\w+="', answer.text), path


def test_cards_that_wait_are_a_count_until_the_teacher_adds_them(larch_lane):
    fill(larch_lane)
    save(larch_lane, AFTERNOON, "Alder", {"celsius": "28", "fahrenheit": "82"}, "teacher")
    save(larch_lane, AFTERNOON, "Beech", {"celsius": "8", "fahrenheit": "60"}, "teacher")
    client = asked(larch_lane)
    page = client.get(LONG[1]).text
    assert wording.WAITING.format(n=2) in page
    assert "28" not in re.sub(r'="[^"]*"', "", page)
    assert len(re.findall(r'class="dot[" ]', page)) == 2 * 12
    client.post("/together", data={"token": token(client), "predictions": "9", "all_dots": "1"})
    assert len(re.findall(r'class="dot[" ]', client.get(LONG[1]).text)) == 2 * 14
    assert wording.PREDICT_HANDS.format(n=9) in client.get(LONG[0]).text


def test_the_storyboard_is_in_its_order(larch_lane):
    fill(larch_lane)
    client = asked(larch_lane)
    client.post(LONG[5], data={"token": token(client)})
    headings = [re.search(r"<h1>(.*?)</h1>", client.get(path).text)[1] for path in LONG]
    order = ("PREDICT", "DOTS", "OURS", "OURS", "MARKS", "PROMISE", "PROBE")
    assert headings[:7] == [getattr(wording, name) for name in order]
    asked_today = client.get(LONG[7]).text
    assert wording.WHY.split("{")[0] in asked_today
    assert [re.search(r"<h1>(.*?)</h1>", client.get(p).text)[1] for p in SHORT] == [
        wording.DOTS, wording.OURS, wording.PROBE,
    ]  # fmt: skip


def test_a_class_of_its_own_without_cards_is_offered_the_invented_one(desk):
    desk.tools = Tools(demo=lambda: pytest.fail("not asked for"))
    page = asked(desk).get("/lesson/swap/1").text
    assert wording.SWAP_NEED in page
    assert "/lesson/swap/1?from=invented" in page


@pytest.mark.parametrize("path", ["/lesson/nothing/1", "/lesson/swap/0", "/lesson/swap/5"])
def test_there_are_no_other_lessons(desk, path):
    assert asked(desk).get(path).status_code == 404


def test_each_page_s_context_is_a_documented_frozen_dataclass():
    for page in (screen.ScreenPage, lesson.LessonPage, steps.Step):
        assert dataclasses.is_dataclass(page)
        assert page.__dataclass_params__.frozen
        assert page.__doc__
