"""Accessibility rules of axe-core on every page, sizes, zoom, keyboard, motion, dark room, print."""

from __future__ import annotations

import pytest
from axe_playwright_python.sync_playwright import Axe

from station.store import open_book
from station.views.web.together.lessons import LESSONS

from .conftest import Served, run, said

PAGES = [
    "/", "/session", "/cards", "/together", "/after", "/teams", "/teams/shown", "/friday", "/box", "/place",
    "/settings", "/care", "/tables", "/nowhere",
]  # fmt: skip
SCREENS = [f"/screen/2026-11-10/morning/long/{n}" for n in range(1, 9)]
LESSON_PARTS = [f"/lesson/{key}/{part}" for key in LESSONS for part in (1, 2, 3, 4)]
#: What a hand can use; a group of radio buttons is one stop of the Tab key, so they are left out.
CONTROLS = "a[href], button, input:not([type=hidden]):not([type=radio]), select, textarea, summary"
DARK = [f"{path}?room=dark" for path in (*SCREENS, "/lesson/eye-line/2", "/lesson/waiting/3")]


@pytest.fixture(scope="module")
def page(browser, rehearsal):
    context = browser.new_context(base_url=rehearsal, viewport={"width": 1280, "height": 800})
    made = context.new_page()
    made.goto("/session")
    if made.locator("text=To the cards").count() == 0:
        made.click("text=Take this session")
    yield made
    context.close()


def go(page, path):
    """Go to a page; where a class screen was shown a moment ago, say that the projector is off."""
    page.goto(path)
    if path == "/teams/shown" and page.url.endswith("/teams"):
        page.keyboard.press("s")
        page.wait_for_url("**/teams/shown")


@pytest.mark.parametrize("path", [*PAGES, *SCREENS, *LESSON_PARTS, *DARK])
def test_axe_finds_nothing_of_any_impact(page, path):
    page.set_viewport_size({"width": 1280, "height": 800})
    go(page, path)
    found = Axe().run(page)
    assert [(v["id"], v["nodes"][0]["html"]) for v in found.response["violations"]] == []


def test_axe_finds_nothing_on_the_pupils_page(page, rehearsal):
    page.goto("/tables")
    port = page.inner_text(".tables li >> nth=0").split(":")[2].split("/")[0]
    words = page.inner_text(".words >> nth=0")
    page.goto(f"http://127.0.0.1:{port}/")
    assert Axe().run(page).violations_count == 0
    page.fill("#words", words)
    page.keyboard.press("Enter")
    page.wait_for_url("**/card")
    assert page.inner_text("h1") == "Your card"
    assert Axe().run(page).violations_count == 0
    page.fill("#celsius", "8")
    page.keyboard.press("Enter")
    page.wait_for_selector("text=Saved.")


# 640 px stands for 200 % zoom of a 1280 px window (WCAG 2.2, 1.4.10 counts in CSS pixels).
@pytest.mark.parametrize("width", [360, 640, 1920])
def test_no_page_needs_sideways_scrolling(page, width):
    page.set_viewport_size({"width": width, "height": 800})
    wide = {}
    for path in (*PAGES, *SCREENS, *LESSON_PARTS):
        go(page, path)
        wide[path] = page.evaluate("document.documentElement.scrollWidth")
    assert {path: w for path, w in wide.items() if w > width} == {}


def test_a_telephone_shows_whole_tables_and_pictures_large_enough_to_read(page):
    page.set_viewport_size({"width": 360, "height": 740})
    for path in ("/box", "/teams/shown", "/place"):
        go(page, path)
        assert Axe().run(page).violations_count == 0, path
        widths = page.evaluate("[...document.querySelectorAll('img.picture')].map((e) => e.clientWidth)")
        assert widths
        assert min(widths) > 700, path
        ends = page.evaluate(
            "[...document.querySelectorAll('td, th')].map((e) => e.getBoundingClientRect().right)"
        )
        assert max(ends, default=0) <= 360, path


@pytest.mark.parametrize("size", [(1280, 720), (1920, 1080)])
def test_a_class_screen_fits_its_projector(page, size):
    page.set_viewport_size({"width": size[0], "height": size[1]})
    for path in (*SCREENS, *LESSON_PARTS):
        go(page, path)
        assert page.evaluate("document.documentElement.scrollHeight") <= size[1], path
        letters = page.evaluate("parseFloat(getComputedStyle(document.querySelector('h1')).fontSize)")
        assert letters >= size[0] / 48, path  # 40 of 1920: 4 cm on a screen two metres wide


def test_every_control_is_reached_by_keyboard_and_shows_its_focus(page):
    page.set_viewport_size({"width": 1280, "height": 800})
    for path in PAGES:
        go(page, path)
        wanted = page.evaluate(
            f"[...document.querySelectorAll({CONTROLS!r})].filter((e) => e.checkVisibility()).length"
        )
        page.evaluate(
            "document.activeElement.blur(); getSelection().removeAllRanges(); window.seen = new Set()"
        )
        page.locator("body").press("Tab")
        for _ in range(wanted + 12):
            outline = page.evaluate(
                "(() => { const e = document.activeElement; if (e === document.body) return 'none';"
                f" if (e.matches({CONTROLS!r})) window.seen.add(e);"
                " return getComputedStyle(e).outlineStyle })()"
            )
            if outline != "none":
                assert outline in ("solid", "auto"), path
            page.keyboard.press("Tab")
        reached = page.evaluate("[...window.seen].filter((e) => e.checkVisibility()).length")
        assert reached >= wanted, path


def test_nothing_moves_where_motion_is_not_wanted(browser, rehearsal):
    for motion, name in (("reduce", "none"), ("no-preference", "fall")):
        context = browser.new_context(base_url=rehearsal, reduced_motion=motion)
        page = context.new_page()
        page.goto(SCREENS[1])
        moving = page.evaluate("getComputedStyle(document.querySelector('.falling .dot')).animationName")
        assert moving == name
        context.close()


def test_print_leaves_out_what_paper_cannot_press(page):
    page.emulate_media(media="print")
    for path in ("/after", "/tables", "/teams/shown", SCREENS[5], "/lesson/one-or-many/1"):
        go(page, path)
        pressed = page.evaluate(
            "[...document.querySelectorAll('nav, button, footer')].filter((e) => e.checkVisibility()).length"
        )
        assert pressed == 0, path
        paper = page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
        assert paper == "rgb(255, 255, 255)", path
        assert len(page.pdf()) > 3000
    page.emulate_media(media="screen")


def test_a_private_page_covers_itself_after_a_minute(browser, rehearsal):
    context = browser.new_context(base_url=rehearsal)
    page = context.new_page()
    page.clock.install()
    go(page, "/teams/shown")
    page.clock.fast_forward(50_000)
    assert page.url.endswith("/teams/shown")
    page.keyboard.press("Shift")
    page.clock.fast_forward(59_000)
    assert page.url.endswith("/teams/shown")
    page.clock.fast_forward(2_000)
    page.wait_for_url("**/teams")
    context.close()


def test_titles_of_tabs_carry_no_finding(page):
    for path in PAGES:
        go(page, path)
        assert page.title() == page.inner_text("h1")
    for path in SCREENS:
        page.goto(path)
        assert page.title() == "Class screen"


def test_first_start_by_keyboard_and_without_a_finding(browser, tmp_path):
    log = tmp_path / "log"
    open_book(tmp_path / "new.book", create=True).close()
    process = run(log, "serve", str(tmp_path / "new.book"), "--port", "0")
    served = Served(process, said(process, log, r"http://127\.0\.0\.1:\d+"), log)
    context = browser.new_context(viewport={"width": 360, "height": 740})
    try:
        page = context.new_page()
        page.goto(served.address)
        assert Axe().run(page).violations_count == 0
        page.focus("#latitude")
        for value in ("44.3 N", "91.4 W", "America/Chicago"):
            page.keyboard.press("Control+a")
            page.keyboard.type(value)
            page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        page.wait_for_selector("text=Today the sun rises")
        assert Axe().run(page).violations_count == 0
        assert page.evaluate("document.documentElement.scrollWidth") <= 360
        page.keyboard.press("Enter")  # "yes, it fits" has the focus
        page.wait_for_selector("text=Is everything ready?")
        page.wait_for_selector("text=Ten minutes for today")
        assert Axe().run(page).violations_count == 0
        page.click("text=To the session")
        page.fill("#teams", "Alder\nBeech")
        page.click("text=These are the teams")
        page.wait_for_selector("text=Take this session")
    finally:
        context.close()
        served.end()
