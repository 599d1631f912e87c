"""A real browser and real processes: the pages as a teacher meets them.

Where no Chromium is installed these tests are skipped with a reason; with CI=true that is a failure.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import os
import re
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from station.record.model import Sample
from station.store import Book, open_book

ROOT = Path(__file__).parents[2]
CHROMIUM = next((found for name in ("chromium", "chromium-browser") if (found := shutil.which(name))), None)
FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
]  # fmt: skip
#: What the simulated probe sends for ever; no card in these tests is near it.
SECRET_C = 7.4375
TEAMS = (
    "Alder", "Aspen", "Beech", "Cedar", "Elm", "Fir", "Hazel", "Holly", "Larch", "Maple", "Oak", "Pine",
    "Rowan", "Willow",
)  # fmt: skip


@dataclass
class Served:
    """A running program: its process, the address of its pages, and what it says."""

    process: subprocess.Popen[str]
    address: str
    log: Path
    others: list[subprocess.Popen[str]] = field(default_factory=list)

    def end(self, number: int = signal.SIGTERM) -> None:
        for process in (self.process, *self.others):
            if process.poll() is None:
                process.send_signal(number)
            with contextlib.suppress(subprocess.TimeoutExpired):
                process.wait(20)
            if process.poll() is None:
                process.kill()
                process.wait(20)


def run(log: Path, *words: str) -> subprocess.Popen[str]:
    """Start a command of the program, its words going to a file."""
    env = {**os.environ, "PYTHONUNBUFFERED": "1", "PYTHONPATH": str(ROOT), "PYTHONUTF8": "1"}
    with log.open("w") as out:
        return subprocess.Popen(
            [sys.executable, "-m", "station", *words],
            stdout=out,
            stderr=subprocess.STDOUT,
            env=env,
            text=True,
        )


def said(process: subprocess.Popen[str], log: Path, pattern: str, seconds: float = 60.0) -> str:
    """Wait until a command has said something, and return it."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if match := re.search(pattern, log.read_text()):
            return match[0]
        if process.poll() is not None:
            break
        time.sleep(0.1)
    raise AssertionError(f"nothing like {pattern} was said: {log.read_text()}")


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    if CHROMIUM is None:
        if os.environ.get("CI") == "true":
            pytest.fail("no Chromium is installed, and in CI the pages must be tested in one")
        pytest.skip("no Chromium is installed (apt-get install chromium)")
    with sync_playwright() as playwright:
        made = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield made
        made.close()


@pytest.fixture(scope="session")
def rehearsal(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The pages of the invented class, with the pupils' page open."""
    log = tmp_path_factory.mktemp("rehearsal") / "log"
    process = run(log, "serve", "--rehearse", "--port", "0", "--lan", "--lan-port", "0")
    served = Served(process, said(process, log, r"http://127\.0\.0\.1:\d+"), log)
    yield served.address
    served.end()


@dataclass
class Window:
    """A page of the browser, and everything that went over the wire for it."""

    page: Page
    requests: list[str] = field(default_factory=list)
    bodies: list[tuple[str, str]] = field(default_factory=list)
    troubles: list[str] = field(default_factory=list)

    def watch(self, page: Page) -> None:
        page.on("request", lambda request: self.requests.append(request.url))
        page.on("pageerror", lambda trouble: self.troubles.append(str(trouble)))
        page.on("response", self._keep)

    def _keep(self, response) -> None:
        if "text/event-stream" in response.headers.get("content-type", "") or response.status in (
            301,
            302,
            303,
        ):
            return
        with contextlib.suppress(Exception):  # a page that was left takes its bodies along
            self.bodies.append((response.url, response.text()))


@pytest.fixture
def window(browser: Browser) -> Iterator[Window]:
    context = browser.new_context(viewport={"width": 1280, "height": 800})
    context.set_default_timeout(20_000)
    page = context.new_page()
    made = Window(page)
    context.on("page", made.watch)
    made.watch(page)
    yield made
    context.close()


def until(page: Page, expression: str, seconds: float = 30.0) -> None:
    """Wait until an expression is true; the pages' own policy forbids the browser's way of waiting."""
    end = time.monotonic() + seconds
    while not page.evaluate(expression):
        assert time.monotonic() < end, expression
        page.wait_for_timeout(100)


def zone_at_noon() -> tuple[str, dt.timezone]:
    """Return a zone in which it is about noon now, so that a session of today can just have been."""
    hours = 12 - dt.datetime.now(dt.UTC).hour
    return f"Etc/GMT{-hours:+d}", dt.timezone(dt.timedelta(hours=hours))


def settings(teams: tuple[str, ...], minutes: int = 2) -> str:
    """Return settings of a class whose session of today ended a minute ago."""
    name, zone = zone_at_noon()
    start = dt.datetime.now(zone) - dt.timedelta(minutes=minutes + 1)
    labels = "".join(f'[[teams]]\nname = "{team}"\n' for team in teams)
    return (
        f'[site]\nlatitude = 44.3\nlongitude = -91.4\ntimezone = "{name}"\n'
        '[school]\nweekdays = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"]\n'
        'day = { start = "00:05", end = "23:55" }\n'
        f'[sessions]\nnoon = {{ start = "{start:%H:%M}", minutes = {minutes} }}\n{labels}'
    )


def book_with_record(path: Path, text: str, minutes: int = 12) -> None:
    """Make a book whose probe has sent its one value for the last minutes."""
    now = dt.datetime.now(dt.UTC)
    with open_book(path, create=True, settings_text=text) as book:
        record(book, now, minutes)


def record(book: Book, now: dt.datetime, minutes: int) -> None:
    book.append_samples(
        [Sample(now - dt.timedelta(seconds=10 * n), SECRET_C) for n in range(6 * minutes, 0, -1)]
    )


def live(folder: Path, book: Path, *words: str) -> Served:
    """Start a simulated probe that sends its one value, and the program that records it and shows pages."""
    probe = folder / "probe"
    probe.mkdir()
    (probe / "station.toml").write_text('[site]\ntimezone = "UTC"\n')
    rows = "".join(f"2026-10-05T10:{n:02d}:00Z,{SECRET_C}\n" for n in range(50))
    (probe / "probe.csv").write_text("time,celsius\n" + rows)
    simulator_log, log = folder / "simulator.log", folder / "start.log"
    simulator = run(simulator_log, "simulate", "--tcp", "--rate", "2", "--recording", str(probe))
    url = said(simulator, simulator_log, r"socket://\S+")
    program = run(log, "start", "--book", str(book), "--port", url, "--pages", "0", "--no-browser", *words)
    address = said(program, log, r"(?<=pages: )http://127\.0\.0\.1:\d+")
    said(program, log, r"recording from")
    return Served(program, address, log, [simulator])
