"""``station import`` and ``station export``: a folder of plain files into a book, and back."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import click

from station.base.exceptions import UnusableInput
from station.views import wording_line

#: Files kept as they are, by their name in lower case.
_DOCUMENTS = {"readme.md": "README.md", "probe.log": "probe.log"}


def must_be_new(folder: Path) -> None:
    """Refuse a place for a recording that is a file or holds something already."""
    if folder.exists() and not folder.is_dir():
        raise UnusableInput(wording_line.NO_FOLDER.format(folder=folder))
    if folder.exists() and any(folder.iterdir()):
        raise UnusableInput(wording_line.NOT_EMPTY.format(folder=folder))


@click.command("import")
@click.argument("book", type=click.Path(path_type=Path))
@click.argument("folder", type=click.Path(path_type=Path))
@click.option(
    "--date", "first", type=click.DateTime(["%Y-%m-%d"]), default=None,
    help="Date of the first line of probe.log, where its lines carry a clock time only.",
)  # fmt: skip
def import_(book: Path, folder: Path, first: dt.datetime | None) -> None:
    """Put the recording in FOLDER into BOOK, a new one or one that holds no readings and samples yet.

    Without a probe.csv, a raw serial capture probe.log is read in its place.
    """
    from station import recording, settings, source, store
    from station.line.replay import replay

    found = recording.files(folder)
    opened = source.open(folder)
    documents = {_DOCUMENTS[name]: found[name].read_bytes() for name in _DOCUMENTS if name in found}
    with store.open_book(book, create=True) as target:
        target.import_frames(opened.frames, settings.load(found["station.toml"]).text, documents)
        if "probe.csv" not in found and "probe.log" in documents:
            day = None if first is None else first.date()
            capture = replay(documents["probe.log"], opened.settings.site.zone, day)
            target.append_samples(capture.samples, capture.rejected)
            if capture.without_time:
                click.echo(wording_line.WITHOUT_TIME.format(n=capture.without_time), err=True)
        samples, rejected = target.counts()
    for problem in opened.frames.problems:
        click.echo(f"{problem}", err=True)
    readings = len(opened.frames.readings)
    click.echo(wording_line.IMPORTED.format(readings=readings, samples=samples, rejected=rejected, book=book))


@click.command()
@click.argument("book", type=click.Path(path_type=Path))
@click.argument("folder", type=click.Path(path_type=Path))
@click.option(
    "--class-level", is_flag=True, help="Leave teams out, and sessions with fewer than five readings."
)
def export(book: Path, folder: Path, class_level: bool) -> None:
    """Write BOOK into FOLDER as a recording of plain files."""
    from station import recording, source, store
    from station.cli.class_level import without_teams

    must_be_new(folder)
    with store.open_book(book) as origin:
        opened = source.of_book(origin)
        documents = origin.documents()
    frames, text = opened.frames, opened.settings.text
    if class_level:
        frames, text = without_teams(opened)
        documents = {}
    readme = documents.pop("README.md", b"")
    recording.write(frames, folder, text, opened.settings.site.zone)
    for name, body in {**documents, **({"README.md": readme} if readme else {})}.items():
        (folder / name).write_bytes(body)
    click.echo(wording_line.WROTE.format(folder=folder))
