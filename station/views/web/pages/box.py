"""Thermometers: offsets with their limits, the two plates, the checks so far, and which numbers rest."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Any

from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import Response

from station import settings as settings_file
from station.assess import Assessment
from station.base.exceptions import BadEntry
from station.record import entry
from station.views import phrases
from station.views.web import wording
from station.views.web.desk import Desk
from station.views.web.pages.first import quoted
from station.views.web.render import back, render, text
from station.views.web.rows import rows


@dataclass(frozen=True)
class Tube:
    """One thermometer: what its readings say, in words, and whether it rests."""

    number: str
    readings: int
    offset: str
    span: str
    plates: str
    noted: str
    rests: str


@dataclass(frozen=True)
class BoxPage:
    """All thermometers in the order of their numbers; ``picture`` is empty where there is none to draw."""

    title: str
    sentence: str
    checks: str
    tubes: tuple[Tube, ...]
    picture: str
    picture_words: str


def box(desk: Desk, request: Request) -> Response:
    """Show the thermometers."""
    found = desk.assessment()
    tubes = tuple(_tube(found, row) for row in rows(found.thermometers))
    checks = found.frames.table("checks")
    looked = [tube.number for tube in tubes if tube.noted and not tube.rests]
    page = BoxPage(
        title=wording.BOX_TITLE,
        sentence=wording.BOX_LOOK.format(numbers=phrases.listed(looked)) if looked else wording.BOX_NOTHING,
        checks=wording.BOX_CHECKS.format(n=len(checks)) if len(checks) else wording.BOX_NO_CHECKS,
        tubes=tubes,
        picture="/picture/thermometers.svg" if tubes else "",
        picture_words=wording.BOX_PICTURE,
    )
    return render(request, "box.html", page)


def rest(desk: Desk, request: Request, form: FormData) -> Response:
    """Let a thermometer rest from today on, or use it again; the settings before are kept."""
    number = entry.thermometer_number(text(form, "number", 20))
    resting = bool(text(form, "rest"))
    if not number:
        raise BadEntry(wording.NOT_FOUND)
    before = desk.book.settings_text()
    after = with_rest(before, number, desk.today().isoformat() if resting else None)
    settings_file.parse(after)
    desk.book.set_settings_text(after, "teacher", f"number {number} {'rests' if resting else 'is in use'}")
    return back("/box")


def with_rest(toml: str, number: str, date: str | None) -> str:
    """Return settings in which one number rests from ``date`` on, or does not rest."""
    blocks = re.split(r"(?m)^(?=\s*\[)", toml)
    mine = re.compile(rf'(?m)^\s*number\s*=\s*["\']?{re.escape(number)}["\']?\s*(#.*)?$')
    retired = re.compile(r"(?m)^\s*retired\s*=.*\n?")
    line = "" if date is None else f"retired = {quoted(date)}\n"
    for at, block in enumerate(blocks):
        if re.match(r"\s*\[\[\s*thermometers\s*\]\]", block) and mine.search(block):
            kept = retired.sub("", block).rstrip("\n") + "\n"
            blocks[at] = kept + line + ("\n" if at + 1 < len(blocks) else "")
            return "".join(blocks)
    if date is None:
        return toml
    return toml.rstrip("\n") + f"\n\n[[thermometers]]\nnumber = {quoted(number)}\n{line}"


def _tube(found: Assessment, row: dict[str, Any]) -> Tube:
    number = row["number"]
    kinds = [f.kind for f in found.findings.thermometers.get(number, ())]
    retired = found.settings.thermometer(number).retired
    known = not math.isnan(row["offset"])
    return Tube(
        number=number,
        readings=int(row["readings"]),
        offset=phrases.degrees(row["offset"], signed=True) if known else phrases.number(None),
        span=phrases.limits(row["offset_low"], row["offset_high"]) if known else wording.BOX_UNKNOWN,
        plates=phrases.degrees(row["scale_difference"], signed=True),
        noted=phrases.listed([wording.TUBE_KINDS.get(kind, kind.replace("_", " ")) for kind in kinds]),
        rests=wording.BOX_RESTS.format(day=phrases.day(retired)) if retired else "",
    )
