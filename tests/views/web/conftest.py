"""A small class, the invented class, and pages that are asked without a browser."""

from __future__ import annotations

import datetime as dt
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from station import source
from station.record.model import Sample, Session
from station.store import Book, open_book
from station.views.web.codes import Codes
from station.views.web.desk import Desk
from station.views.web.probe import Pulse
from station.views.web.teacher import teacher_app

ROOT = Path(__file__).parents[3]
#: The value that a live probe sends in these tests; no other number on a page looks like it.
SECRET_C = 7.4321
DAY = dt.date(2026, 11, 11)
NOW = dt.datetime(2026, 11, 11, 20, 20, tzinfo=dt.UTC)  # 14:20 in Chicago

SMALL = """
[site]
latitude = 44.3
longitude = -91.4
timezone = "America/Chicago"
[[teams]]
name = "Alder"
[[teams]]
name = "Beech"
[[teams]]
name = "Cedar"
"""


class Clock:
    """A clock that a test sets."""

    def __init__(self, now: dt.datetime = NOW) -> None:
        self.now = now

    def __call__(self) -> dt.datetime:
        return self.now


class Alive:
    """A probe whose last value came twelve seconds ago."""

    def __init__(self, clock: Clock) -> None:
        self.clock = clock

    def pulse(self) -> Pulse:
        return Pulse(self.clock() - dt.timedelta(seconds=12), recording=True)


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with open_book(tmp_path / "small.book", create=True, settings_text=SMALL) as made:
        yield made


@pytest.fixture
def desk(book: Book, clock: Clock) -> Desk:
    return Desk(book, probe=Alive(clock), now=clock)


@pytest.fixture(scope="session")
def larch_lane_book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The invented class up to the afternoon of `DAY`, with a live record of one value for that day."""
    path = tmp_path_factory.mktemp("books") / "larch.book"
    opened = source.open(ROOT / "recordings/larch-lane")
    rows = opened.frames.readings
    early = (rows["date"] < DAY) | ((rows["date"] == DAY) & (rows["session"] == "morning"))
    probe = opened.frames.probe
    before = probe[probe["time"] < NOW - dt.timedelta(hours=14)].reset_index(drop=True)
    from dataclasses import replace

    frames = replace(opened.frames, readings=rows[early].reset_index(drop=True), probes={"": before})
    with open_book(path, create=True) as made:
        made.import_frames(frames, opened.settings.text)
        start = NOW - dt.timedelta(hours=2)
        made.append_samples([Sample(start + dt.timedelta(seconds=30 * n), SECRET_C) for n in range(240)])
    return path


@pytest.fixture
def larch_lane(larch_lane_book: Path, tmp_path: Path, clock: Clock) -> Iterator[Desk]:
    path = tmp_path / "class.book"
    for suffix in ("", "-wal", "-shm"):
        origin = larch_lane_book.with_name(larch_lane_book.name + suffix)
        if origin.exists():
            shutil.copy(origin, path.with_name(path.name + suffix))
    with open_book(path) as opened:
        yield Desk(opened, probe=Alive(clock), now=clock)


def asked(desk: Desk, codes: Codes | None = None) -> TestClient:
    """Return a client of the teacher's pages, at the address they answer to."""
    app = teacher_app(desk, codes or Codes(desk.book))
    return TestClient(app, base_url="http://127.0.0.1:8630", follow_redirects=False)


def token(client: TestClient, path: str = "/cards") -> str:
    """Return the token of a form, as a browser would send it back."""
    client.get(path)
    return client.cookies["station"]


AFTERNOON = Session(DAY, "afternoon")
