"""``station log``: record a probe into a book, and nothing else."""

from __future__ import annotations

from pathlib import Path

import click

from station.base.exceptions import BookUnwritable
from station.views import wording_line


@click.command()
@click.argument("book", type=click.Path(path_type=Path))
@click.option("--port", default="", metavar="URL", help="Any pyserial URL; without it, the port that speaks.")
@click.option(
    "--seconds", type=click.FloatRange(min=0), default=None, metavar="N", help="Stop after N seconds."
)
@click.option(
    "--settings",
    "settings_file",
    type=click.Path(path_type=Path),
    default=None,
    metavar="FILE",
    help="station.toml for a new book.",
)
def log(book: Path, port: str, seconds: float | None, settings_file: Path | None) -> None:
    """Record the probe into BOOK, made where there is none. Changes of state go to standard error."""
    from station import settings, store
    from station.cli import live

    text, zone_known = live.first_settings()
    if settings_file is not None:
        text = settings.load(settings_file).text
    new = not book.exists()
    with store.open_book(book, create=True, settings_text=text) as target:
        if new:
            click.echo(wording_line.NEW_BOOK.format(path=book), err=True)
        if new and settings_file is None and not zone_known:
            click.echo(wording_line.NO_ZONE, err=True)
        logger = live.logger_for(target, port, lambda line: click.echo(line, err=True))
        logger.run(live.until(seconds))
        click.echo(logger.state, err=True)
        if logger.held:
            raise BookUnwritable(wording_line.LOST.format(n=logger.held, path=book))
