"""Care of the book: backup, export, the record of changes, and whether the book is whole."""

from __future__ import annotations

import io
import tempfile
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import Response

from station import recording, source
from station.base.exceptions import BadEntry
from station.views import phrases
from station.views.web import wording
from station.views.web.desk import Desk
from station.views.web.render import note, render
from station.views.web.rows import rows

#: So many changes are listed; the whole record is in the exports.
CHANGES = 25


@dataclass(frozen=True)
class CarePage:
    """The book's size and changes."""

    title: str
    held: str
    where: str
    changes: tuple[str, ...]


def care(desk: Desk, request: Request) -> Response:
    """Show what can be done with the book."""
    samples, rejected = desk.book.counts()
    edits = desk.book.table("edits").tail(CHANGES).iloc[::-1]
    zone = desk.settings.site.zone
    page = CarePage(
        title=wording.CARE_TITLE,
        held=wording.CARE_HELD.format(
            readings=f"{desk.book.entries_seen()[0]:,}", samples=f"{samples:,}", rejected=f"{rejected:,}"
        ),
        where=wording.CARE_WHERE.format(path=desk.book.path),
        changes=tuple(
            wording.CARE_CHANGE.format(
                at=phrases.moment(row["at"].astimezone(zone)), by=row["by"], table=row["table"],
                column=row["column"] or wording.CARE_ROW, old=row["old"] or phrases.number(None),
                new=row["new"] or phrases.number(None), reason=row["reason"] or phrases.number(None),
            )
            for row in rows(edits)
        ),
    )  # fmt: skip
    return render(request, "care.html", page)


def take(desk: Desk, request: Request) -> Response:
    """Hand out a copy of what the book holds, in one of four forms."""
    makers: dict[str, tuple[Callable[[Desk], bytes], str]] = {
        "book": (_book, "station-{day}.book"),
        "recording": (_recording, "recording-{day}.zip"),
        "class": (_class_level, "class-{day}.zip"),
        "tables": (_tables, "tables-{day}.zip"),
    }
    if request.path_params["form"] not in makers:
        raise BadEntry(wording.NOT_FOUND)
    hand = desk.in_hand()
    unseen = hand is not None and hand.step != "shown" and hand.date == desk.today()
    if unseen and request.path_params["form"] != "tables":
        raise BadEntry(wording.CARE_LATER)  # such a copy holds the probe's value of the session
    make, name = makers[request.path_params["form"]]
    headers = {"content-disposition": f'attachment; filename="{name.format(day=desk.today().isoformat())}"'}
    return Response(make(desk), media_type="application/octet-stream", headers=headers)


def check(desk: Desk, request: Request, form: FormData) -> Response:
    """Read the whole book and say whether it is sound."""
    desk.book.check_integrity()
    return note(request, wording.CARE_SOUND, 200)


def _book(desk: Desk) -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "copy.book"
        desk.book.backup(path)
        return path.read_bytes()


def _recording(desk: Desk) -> bytes:
    opened = source.of_book(desk.book)
    zone = opened.settings.site.zone
    return _zipped(lambda folder: recording.write(opened.frames, folder, opened.settings.text, zone))


def _class_level(desk: Desk) -> bytes:
    if desk.tools.class_level is None:
        raise BadEntry(wording.NOT_FOUND)
    opened = source.of_book(desk.book)
    frames, text = desk.tools.class_level(opened)
    return _zipped(lambda folder: recording.write(frames, folder, text, opened.settings.site.zone))


def _tables(desk: Desk) -> bytes:
    from station.views import tables

    return _zipped(lambda folder: tables.write(desk.assessment(), folder))


def _zipped(write: Callable[[Path], object]) -> bytes:
    out = io.BytesIO()
    with tempfile.TemporaryDirectory() as folder:
        write(Path(folder))
        with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
            for path in sorted(Path(folder).iterdir()):
                archive.write(path, path.name)
    return out.getvalue()
