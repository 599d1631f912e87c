"""Forty tablets at once beside a live logger, and a program that is killed in the middle of an entry."""

from __future__ import annotations

import asyncio
import re
import signal
import statistics
import time
from concurrent.futures import ThreadPoolExecutor

import httpx2

from station.store import open_book

from .conftest import TEAMS, Served, book_with_record, live, run, said, settings, until

FORTY = tuple(f"Team {n:02d}" for n in range(40))
ROUNDS = 4
#: An answer to an entry may take this many times as long as an empty request among the same load.
MOST_TIMES = 10.0


def test_forty_tablets_lose_and_double_nothing(tmp_path):
    book = tmp_path / "class.book"
    book_with_record(book, settings(FORTY))
    served = live(tmp_path, book, "--lan", "--lan-port", "0")
    try:
        with httpx2.Client(base_url=served.address, follow_redirects=True) as teacher:
            token = re.search(r'name="token" value="([^"]+)"', teacher.get("/session").text)[1]
            page = teacher.get("/session").text
            date = re.search(r'name="date" value="([^"]+)"', page)[1]
            teacher.post("/session/take", data={"token": token, "date": date, "part": "noon"})
            tables = teacher.get("/tables").text
        port = re.search(r"http://[\d.]+:(\d+)/", tables)[1]
        words = re.findall(r'class="words">([^<]+)<', tables)
        assert len(words) == 40
        before = _samples(book)
        with ThreadPoolExecutor(1) as apart:  # the browser's own loop runs in this thread
            entries, empty = apart.submit(asyncio.run, _all(f"http://127.0.0.1:{port}", words)).result()
        after = _samples(book)
    finally:
        served.end()
    assert len(entries) == 40 * ROUNDS
    assert after > before  # the logger went on meanwhile
    with open_book(book) as kept:
        rows = kept.readings()
        assert sorted(rows["team"]) == list(FORTY)
        assert all(rows["celsius_written"] == [str(10 + ROUNDS - 1 + int(t[-2:])) for t in rows["team"]])
        edits = kept.table("edits")
        assert len(edits[edits["column"] == "celsius"]) == 40 * (ROUNDS - 1)
    times = statistics.median(entries) / statistics.median(empty)
    entry_ms, empty_ms = (1e3 * statistics.median(found) for found in (entries, empty))
    print(f"entry {entry_ms:.0f} ms, empty request {empty_ms:.0f} ms (medians): {times:.1f} times")
    assert times <= MOST_TIMES


def _samples(book):
    with open_book(book) as kept:
        return kept.counts()[0]


async def _all(address, words):
    entries: list[float] = []
    empty: list[float] = []

    async def tablet(n, code):
        async with httpx2.AsyncClient(base_url=address, timeout=60.0) as client:
            page = await client.get("/")
            token = re.search(r'name="token" value="([^"]+)"', page.text)[1]
            await client.post("/", data={"token": token, "words": code})
            for turn in range(ROUNDS):
                start = time.perf_counter()
                assert (await client.get("/static/mark.svg")).status_code == 200
                middle = time.perf_counter()
                form = {
                    "token": token,
                    "thermometer": str(n),
                    "celsius": str(10 + turn + n),
                    "fahrenheit": "50",
                }
                answer = await client.post("/card", data=form)
                assert answer.headers["location"] == "/card?said=saved"
                empty.append(middle - start)
                entries.append(time.perf_counter() - middle)

    await asyncio.gather(*(tablet(n, code) for n, code in enumerate(words)))
    return entries, empty


def _serve(folder, book, port="0"):
    log = folder / f"serve-{time.monotonic_ns()}.log"
    process = run(log, "serve", str(book), "--port", port)
    return Served(process, said(process, log, r"http://127\.0\.0\.1:\d+"), log)


def test_a_kill_during_entry_loses_nothing_acknowledged(window, tmp_path):
    book = tmp_path / "class.book"
    book_with_record(book, settings(TEAMS))
    served = _serve(tmp_path, book)
    page = window.page
    try:
        page.goto(f"{served.address}/session")
        page.click("text=Take this session")
        page.goto(f"{served.address}/cards")
        for n in range(9):
            for value in (str(n + 1), "8", "46"):
                page.keyboard.type(value)
                page.keyboard.press("Enter")
        served.end(signal.SIGKILL)
        acknowledged = page.evaluate(
            "[...document.querySelectorAll('tr[data-team]')]"
            ".filter((row) => row.querySelector('[data-state]').textContent === 'saved')"
            ".map((row) => row.dataset.team)"
        )
        with open_book(book) as kept:
            there = set(kept.readings()["team"])
        assert set(acknowledged) <= there
        for value in ("10", "9", "48"):  # typing goes on while nobody answers
            page.keyboard.type(value)
            page.keyboard.press("Enter")
        page.wait_for_selector("text=not saved")
        served = _serve(tmp_path, book, served.address.rpartition(":")[2])
        until(
            page,
            "[...document.querySelectorAll('tr[data-team]')].slice(0, 10)"
            ".every((row) => row.querySelector('[data-state]').textContent === 'saved')",
        )
        with open_book(book) as kept:
            rows = kept.readings()
        assert sorted(rows["team"]) == list(TEAMS[:10])
    finally:
        served.end()
