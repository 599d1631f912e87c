"""Where a recording comes from: the one place that joins settings with what was measured.

A recording is a folder of plain files or a book; what follows does not see which.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from station import recording, settings, store
from station.base.exceptions import UnusableInput
from station.record.columns import Frames
from station.settings import Settings

if TYPE_CHECKING:
    from station.assess import Assessment
    from station.place.places import Places
    from station.recording import Progress


@dataclass(frozen=True)
class Recording:
    """One class's recording: its settings, its frames, where it came from, and a name to show."""

    settings: Settings
    frames: Frames
    path: Path
    name: str


def open(path: Path | str, progress: Progress | None = None) -> Recording:
    """Return the recording at ``path``.

    Parameters
    ----------
    path
        A folder of plain files, or a book.
    progress
        Called with bytes done and bytes in all while long files are read.

    Raises
    ------
    UnusableInput
        One sentence about what cannot be used.
    BookTooNew, BookDamaged, BookBusy
        A book that cannot be read, as their names say.
    """
    path = Path(path)
    if path.is_file():
        with store.open_book(path) as book:
            return of_book(book)
    if not path.exists():
        raise UnusableInput(f"there is no folder or book {path}")
    found = recording.files(path)
    if "station.toml" not in found:
        raise UnusableInput(f"there is no station.toml in {path}")
    known = settings.load(found["station.toml"])
    frames = recording.read(
        path, known.site.zone, [part.name for part in known.sessions.parts], known.teams, progress
    )
    return Recording(known, frames, path, path.resolve().name)


def of_book(book: store.Book) -> Recording:
    """Return the recording in an open book.

    Raises
    ------
    UnusableInput
        Its settings cannot be used, or there are none.
    """
    known = settings.parse(book.settings_text(), f"station.toml in {book.path.name}")
    return Recording(known, book.frames(), book.path, book.path.stem)


def cross_check(recording: Recording) -> Assessment:
    """Return the whole comparison of a recording; see ``station.assess.Assessment`` for its tables."""
    from station.assess import cross_check as run

    return run(recording.frames, recording.settings)


def survey_site(recording: Recording, weeks: int = 8) -> Places:
    """Return when the sun reaches the place and when it will; see ``station.place.places.Places``.

    Parameters
    ----------
    recording
        As opened; its latitude and longitude must be known.
    weeks
        How far to look ahead.

    Raises
    ------
    UnusableInput
        No latitude or longitude in station.toml.
    """
    from station.assess import survey

    return survey(recording.frames, recording.settings, weeks)
