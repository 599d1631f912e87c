"""``station serve``: the pages of a book, without recording."""

from __future__ import annotations

import signal
import tempfile
from contextlib import ExitStack
from pathlib import Path

import click

from station.base.exceptions import UnusableInput
from station.views import wording_line

PORT, PUPILS_PORT = 8630, 8631
PORTS = click.IntRange(0, 65535)


@click.command()
@click.argument("book", type=click.Path(path_type=Path), required=False)
@click.option(
    "--port",
    type=PORTS,
    default=PORT,
    show_default=True,
    help="Port of the teacher's pages (this machine only).",
)
@click.option("--lan", is_flag=True, help="Open the pupils' page, and nothing else, to the school network.")
@click.option(
    "--lan-port", type=PORTS, default=PUPILS_PORT, show_default=True, help="Port of the pupils' page."
)
@click.option("--rehearse", is_flag=True, help="An invented class to rehearse with, in place of BOOK.")
def serve(book: Path | None, port: int, lan: bool, lan_port: int, rehearse: bool) -> None:
    """Show the pages of BOOK in a browser on this machine; nothing is recorded.

    BOOK must be there: `station start` makes a new one.
    """
    from station.cli.pages import pages_of
    from station.store import open_book
    from station.views.web.desk import Desk

    if (book is None) is not rehearse:
        raise UnusableInput(wording_line.ONE_BOOK)
    if book is not None and not (book.exists() or book.is_symlink()):
        raise UnusableInput(wording_line.NO_BOOK.format(path=book))
    with ExitStack() as stack:
        if rehearse:
            from station.cli.rehearsal import RehearsalProbe, rehearsal

            opened, now = rehearsal(Path(stack.enter_context(tempfile.TemporaryDirectory())))
            desk = Desk(stack.enter_context(opened), probe=RehearsalProbe(now), now=now, rehearsal=True)
        else:
            assert book is not None
            desk = Desk(stack.enter_context(open_book(book)))
        pages, address = pages_of(desk, port, lan_port if lan else None)
        for number in (signal.SIGINT, signal.SIGTERM):
            signal.signal(number, lambda *_: pages.stop())
        pages.run(lambda: click.echo(wording_line.ADDRESS.format(address=address)), desk.warm)
