"""First start: where, how fine the marks are, which probe; and whether the sun agrees."""

from __future__ import annotations

import datetime as dt
import os
import tempfile
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from starlette.datastructures import FormData, UploadFile
from starlette.requests import Request
from starlette.responses import Response

from station import settings as settings_file
from station.base.exceptions import BadEntry, UnusableInput
from station.base.sun import events
from station.record import entry
from station.views.web import say, wording
from station.views.web.desk import Desk
from station.views.web.render import back, note, render, text

#: Files of a recording that are kept as they are.
_DOCUMENTS = {"readme.md": "README.md", "probe.log": "probe.log"}


@dataclass(frozen=True)
class FirstPage:
    """The three answers, as typed so far."""

    title: str = wording.FIRST_TITLE
    latitude: str = ""
    longitude: str = ""
    zone: str = ""
    gaps: str = "10"
    probe: str = "0.5"


@dataclass(frozen=True)
class FirstCheckPage:
    """The sun of today at the place that was typed, and the answers to carry on."""

    title: str
    sentence: str
    latitude: str
    longitude: str
    zone: str
    gaps: str
    probe: str


def first(desk: Desk, request: Request) -> Response:
    """Ask where the class measures."""
    if desk.has_settings:
        return back("/")
    return render(request, "first.html", FirstPage(zone=_system_zone()))


def check(desk: Desk, request: Request, form: FormData) -> Response:
    """Say what the sun does today at the place, before the book begins."""
    answers = _answers(form)
    known = settings_file.parse(_toml(answers), wording.FIRST_PLACE)
    site = known.site
    if site.latitude is None or site.longitude is None:
        raise UnusableInput(wording.BEFORE_SUN_UNKNOWN)
    today = desk.now().astimezone(site.zone).date()
    sun = events(today, site.zone, site.latitude, site.longitude)
    side = wording.SOUTH if site.latitude >= 0 else wording.NORTH
    noon = say.clock(sun.noon, site.zone)
    if sun.sunrise is None:
        sentence = wording.FIRST_CHECK_NO_RISE.format(side=side, noon=noon)
    else:
        sentence = wording.FIRST_CHECK.format(rise=say.clock(sun.sunrise, site.zone), side=side, noon=noon)
    page = FirstCheckPage(title=wording.FIRST_CHECK_TITLE, sentence=sentence, **answers)
    return render(request, "first_check.html", page)


def fits(desk: Desk, request: Request, form: FormData) -> Response:
    """Begin the book with these answers."""
    if not desk.has_settings:
        toml = _toml(_answers(form))
        settings_file.parse(toml)
        desk.book.set_settings_text(toml, "teacher", "first start")
    return back("/")


def bring(desk: Desk, request: Request, form: FormData) -> Response:
    """Take in the folder of a recording, for a book that holds nothing yet."""
    from station import recording, source

    with tempfile.TemporaryDirectory() as folder:
        for part in form.getlist("files"):
            if isinstance(part, UploadFile) and part.filename:
                name = PurePosixPath(part.filename.replace("\\", "/")).name
                if name not in ("", ".", ".."):
                    part.file.seek(0)
                    (Path(folder) / name).write_bytes(part.file.read())
        found = recording.files(folder)
        opened = source.open(folder)
        documents = {_DOCUMENTS[n]: found[n].read_bytes() for n in _DOCUMENTS if n in found}
        desk.book.import_frames(opened.frames, opened.settings.text, documents)
        samples, _ = desk.book.counts()
    done = wording.FIRST_BROUGHT.format(readings=len(opened.frames.readings), samples=samples)
    return note(request, " ".join([done, *map(str, opened.frames.problems[:5])]), 200)


def _answers(form: FormData) -> dict[str, str]:
    names = {"latitude": "latitude", "longitude": "longitude", "timezone": "zone", "gaps": "gaps"}
    return {field: text(form, name, 60) for name, field in {**names, "probe": "probe"}.items()}


def _toml(answers: dict[str, str]) -> str:
    """Return station.toml from the three answers."""
    gaps = entry.number(answers["gaps"])
    if not 1 <= gaps <= 100:
        raise BadEntry(wording.FIRST_BAD_GAPS)
    resolution = next((r for a, r, _ in wording.FIRST_PROBES if a == answers["probe"]), None)
    if resolution is None:
        raise BadEntry(wording.FIRST_PROBE)
    division = 10.0 / gaps
    lines = [
        "[site]",
        f"latitude = {quoted(answers['latitude'])}",
        f"longitude = {quoted(answers['longitude'])}",
        f"timezone = {quoted(answers['zone'])}",
        "",
        "[probe]",
        f"accuracy = {answers['probe']}",
        f"resolution = {resolution}",
        "",
        "[box]",
        f"celsius_division = {division:.6g}",
        f"fahrenheit_division = {2.0 * division:.6g}  # look: how many degrees is one gap on this side?",
    ]
    return "\n".join(lines) + "\n"


def quoted(value: str) -> str:
    """Return a text as a basic string of TOML."""
    escaped = value.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(c if c >= " " and c != "\x7f" else " " for c in escaped) + '"'


def _system_zone() -> str:
    """Return the time zone that the system says, empty where it says none."""
    named = os.environ.get("TZ", "").lstrip(":")
    if "/" in named and not named.startswith("/"):
        return named
    target = os.path.realpath("/etc/localtime")
    zone = target.partition("zoneinfo/")[2]
    return zone if zone and dt.datetime.now().astimezone().tzinfo else ""
