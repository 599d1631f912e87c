"""``station start``: everything in one process; for now it records, the pages come with a later part."""

from __future__ import annotations

from pathlib import Path

import click

#: Where the book lies if nobody says otherwise.
HOME_BOOK = Path("~/station/class.book")


@click.command()
@click.option(
    "--book",
    type=click.Path(path_type=Path, dir_okay=False),
    default=None,
    help="Default ~/station/class.book",
)
@click.option("--port", default="", metavar="URL", help="Any pyserial URL; without it, the port that speaks.")
@click.option(
    "--seconds", type=click.FloatRange(min=0), default=None, metavar="N", help="Stop after N seconds."
)
def start(book: Path | None, port: str, seconds: float | None) -> None:
    """Open the book or make it, find the probe, and record until stopped with Ctrl-C."""
    from station import store
    from station.cli import live

    path = (book or HOME_BOOK).expanduser()
    text, _ = live.first_settings()
    with store.open_book(path, create=True, settings_text=text) as target:
        samples, _ = target.counts()
        click.echo(f"{path}: {samples} samples so far; stop with Ctrl-C", err=True)
        if target.clean_up_due():
            target.clean()
        logger = live.logger_for(target, port, lambda line: click.echo(line, err=True))
        logger.run(live.until(seconds))
        click.echo(logger.state, err=True)
