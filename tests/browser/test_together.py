"""The class screen in a browser: two keys, letters for eight metres, motion, paper, a telephone, the eye."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe

from station.views.web.together.lessons import LESSONS, eye

DAY = "2026-11-10/morning"
LONG = [f"/screen/{DAY}/long/{n}" for n in range(1, 9)]
SHORT = [f"/screen/{DAY}/short/{n}" for n in (1, 2, 3)]
PARTS = [f"/lesson/{key}/{part}" for key in LESSONS for part in (1, 2, 3, 4)]
#: Rule for reading from 8 m: capitals at least 1/30 of the height of the screen. Common practice for signs: a
#: letter of 1/200 of the distance, so 40 mm, on a picture that is 1.2 m high.
CAPITALS = 1 / 30
#: Height of a capital of everything the class reads, in CSS pixels, by the face the browser really took.
HEIGHTS = """() => {
  const context = document.createElement("canvas").getContext("2d");
  const tall = (node, scale) => {
    const style = getComputedStyle(node);
    context.font = `${style.fontWeight} 100px ${style.fontFamily}`;
    return parseFloat(style.fontSize) * scale * context.measureText("H").actualBoundingBoxAscent / 100;
  };
  const out = [];
  for (const node of document.querySelectorAll("main h1, main .said")) {
    if (node.checkVisibility()) out.push([node.textContent, tall(node, 1)]);
  }
  for (const svg of document.querySelectorAll("svg")) {
    if (!svg.checkVisibility()) continue;
    const scale = svg.getScreenCTM().a;
    for (const node of svg.querySelectorAll("text")) out.push([node.textContent, tall(node, scale)]);
  }
  return out;
}"""


@pytest.fixture(scope="module")
def page(browser, rehearsal):
    context = browser.new_context(base_url=rehearsal, viewport={"width": 1920, "height": 1080})
    made = context.new_page()
    yield made
    context.close()


@pytest.mark.parametrize("size", [(1280, 720), (1920, 1080)])
def test_everything_the_class_reads_is_large_enough_for_eight_metres(page, size):
    page.set_viewport_size({"width": size[0], "height": size[1]})
    for path in [*LONG, *SHORT, *PARTS]:
        page.goto(path)
        found = page.evaluate(HEIGHTS)
        assert len(found) >= 2, path
        small = [(text, round(tall, 1)) for text, tall in found if tall < size[1] * CAPITALS]
        assert small == [], path
        assert page.evaluate("document.documentElement.scrollHeight") <= size[1], path


def test_no_words_of_a_drawing_are_cut_off(page):
    for width, height in ((1920, 1080), (360, 740)):
        page.set_viewport_size({"width": width, "height": height})
        for path in [*LONG, *PARTS]:
            page.goto(path)
            cut = page.evaluate(
                """() => [...document.querySelectorAll("svg")].flatMap((s) => {
                  if (!s.checkVisibility()) return [];
                  const frame = s.getBoundingClientRect();
                  return [...s.querySelectorAll("text")].filter((t) => {
                    const box = t.getBoundingClientRect();
                    return box.left < frame.left - 1 || box.right > frame.right + 1;
                  }).map((t) => t.textContent);
                })"""
            )
            assert cut == [], (path, width)
            assert page.evaluate("document.documentElement.scrollWidth") <= width, path


def test_two_keys_drive_the_short_form(page):
    page.goto(SHORT[0])
    for path in SHORT[1:]:
        page.keyboard.press("ArrowRight")
        page.wait_for_url(f"**{path}")
    page.keyboard.press("ArrowRight")  # there is no further step
    for path in SHORT[1::-1]:
        page.keyboard.press("ArrowLeft")
        page.wait_for_url(f"**{path}")


def test_the_dots_fall_only_where_motion_is_wanted(browser, rehearsal):
    for wanted, name in (("no-preference", "fall"), ("reduce", "none")):
        context = browser.new_context(base_url=rehearsal, reduced_motion=wanted)
        shown = context.new_page()
        names = "[...document.querySelectorAll('.dot')].map((dot) => getComputedStyle(dot).animationName)"
        shown.goto(LONG[1])
        assert set(shown.evaluate(names)) == {name}
        shown.goto(LONG[2])  # and in no other step
        assert set(shown.evaluate(names)) == {"none"}
        context.close()


def test_every_step_and_lesson_prints_on_one_sheet_in_black_and_white(page, tmp_path):
    page.emulate_media(media="print")
    for path in [*LONG, *[p for p in PARTS if p.endswith("/1")]]:
        page.goto(f"{path}?room=dark")  # paper is white, whatever the room
        sheet = page.pdf(path=tmp_path / "sheet.pdf", prefer_css_page_size=True)
        assert len(re.findall(rb"/Type\s*/Page\b", sheet)) == 1, path
        colours = page.evaluate(
            """() => [...document.querySelectorAll("main *")].flatMap((e) => {
              if (!e.checkVisibility()) return [];
              const s = getComputedStyle(e);
              return e.closest("svg") ? [s.fill, s.stroke, s.color] : [s.color];
            })"""
        )
        channels = {tuple(re.findall(r"[\d.]+", c)[:3]) for c in colours if c.startswith("rgb")}
        assert all(len(set(channel)) == 1 for channel in channels), (path, channels)
        assert (
            page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
            == "rgb(255, 255, 255)"
        )
    page.goto("/lesson/leaning/1")
    words = page.evaluate("[...document.querySelectorAll('.said')].filter((e) => e.checkVisibility()).length")
    assert words == 4  # guess, picture, number and talk on one sheet
    page.emulate_media(media="screen")


def test_axe_finds_nothing_on_a_telephone_or_in_the_dark(page):
    page.set_viewport_size({"width": 360, "height": 740})
    for path in [*LONG, *SHORT, *[p for p in PARTS if p.endswith(("/1", "/2"))]]:
        for room in ("", "?room=dark"):
            page.goto(path + room)
            found = Axe().run(page).response["violations"]
            assert [(v["id"], v["nodes"][0]["html"]) for v in found] == [], path


def test_the_eye_moves_and_says_what_the_geometry_says(page):
    page.set_viewport_size({"width": 1280, "height": 720})
    page.goto("/lesson/eye-line/2")
    geometry = eye.eye("behind", 1.0, 0.0, "°C")
    mover = page.locator("#eye")
    for value in (-40, -17, 0, 23, 40):
        mover.fill(str(value))
        assert page.inner_text("#eye-says") == geometry.says(-value)
        at = eye.stages(geometry)[0]
        mark = float(page.locator("#sight-wide .sight-mark").get_attribute("y1"))
        rise = (geometry.reading(-value) - geometry.shown) * geometry.degree_mm
        assert mark == pytest.approx(at["middle"] - rise * at["mm"], abs=0.1)
    mover.focus()
    page.keyboard.press("ArrowLeft")  # by keyboard, without going to another part
    assert page.inner_text("#eye-says") == geometry.says(-39)
    assert page.url.endswith("/lesson/eye-line/2")


def test_nothing_is_asked_of_another_machine(browser, rehearsal):
    context = browser.new_context(base_url=rehearsal)
    shown = context.new_page()
    asked: list[str] = []
    troubles: list[str] = []
    shown.on("request", lambda request: asked.append(request.url))
    shown.on("console", lambda message: troubles.append(message.text))
    for path in [LONG[1], "/lesson/eye-line/2", "/lesson/bucket/3"]:
        shown.goto(path)
    assert asked
    assert all(url.startswith(rehearsal) for url in asked)
    assert troubles == []  # such as a style that the policy refused
    context.close()


def test_files_of_the_screen_are_there():
    static = Path(__file__).parents[2] / "station/views/web/static"
    for name in ("screen.css", "screen.js", "eye.js"):
        text = (static / name).read_text("utf-8")
        assert "http:" not in text
        assert "https:" not in text
