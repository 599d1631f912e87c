"""``station start``: everything in one process: it records, serves the pages and opens the browser."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from station.base.exceptions import UnusableInput
from station.cli.serve import PORT, PORTS, PUPILS_PORT
from station.views import wording_line

if TYPE_CHECKING:
    from station.line.logger import Logger
    from station.store import Book
    from station.views.web.probe import Pulse

#: Where the book lies if nobody says otherwise.
HOME_BOOK = Path("~/station/class.book")
#: How often the end is looked for [s]; a person who presses Ctrl-C waits at most this long for the pages.
_LOOK_S = 0.25


@click.command()
@click.argument("book", type=click.Path(path_type=Path), required=False)
@click.option("--book", "named", type=click.Path(path_type=Path), help="The same as BOOK.")
@click.option("--port", default="", metavar="URL", help="Any pyserial URL; without it, the port that speaks.")
@click.option(
    "--pages", type=PORTS, default=PORT, show_default=True, help="Port of the pages (this machine only)."
)
@click.option("--lan", is_flag=True, help="Open the pupils' page, and nothing else, to the school network.")
@click.option(
    "--lan-port", type=PORTS, default=PUPILS_PORT, show_default=True, help="Port of the pupils' page."
)
@click.option("--browser/--no-browser", default=True, help="Open the pages in the browser.")
@click.option(
    "--seconds", type=click.FloatRange(min=0), default=None, metavar="N", help="Stop after N seconds."
)
def start(
    book: Path | None,
    named: Path | None,
    port: str,
    pages: int,
    lan: bool,
    lan_port: int,
    browser: bool,
    seconds: float | None,
) -> None:
    """Open BOOK or make it, find the probe, record, and show the pages, until stopped with Ctrl-C.

    Without BOOK it is ~/station/class.book.
    """
    from station import store
    from station.cli import live
    from station.cli.pages import pages_of
    from station.views.web.desk import Desk

    if book is not None and named is not None:
        raise UnusableInput(wording_line.TWO_BOOKS.format(one=book, other=named))
    path = (book or named or HOME_BOOK).expanduser()
    words = wording_line.BOOK_SO_FAR if path.exists() else wording_line.NEW_BOOK
    with store.open_book(path, create=True) as target:
        samples, _ = target.counts()
        if target.clean_up_due():
            target.clean()
        logger = live.logger_for(target, port, lambda line: click.echo(line, err=True))
        desk = Desk(target, probe=LoggerProbe(target, logger))
        served, address = pages_of(desk, pages, lan_port if lan else None)
        click.echo(words.format(path=path, samples=samples) + wording_line.STOP, err=True)
        stop = live.until(seconds)
        recording = threading.Thread(target=logger.run, args=(stop,), name="logger")
        watching = threading.Thread(target=_until, args=(stop, served.stop), name="stop", daemon=True)
        recording.start()
        watching.start()

        def ready() -> None:
            click.echo(wording_line.PAGES.format(address=address), err=True)
            if browser:
                import webbrowser

                webbrowser.open(address)

        served.run(ready, desk.warm)
        recording.join()
        click.echo(logger.state, err=True)


class LoggerProbe:
    """The state of the probe that this process records, from what its logger tells: never a value."""

    def __init__(self, book: Book, logger: Logger) -> None:
        self._book, self._logger = book, logger

    def pulse(self) -> Pulse:
        """Return when the last value came, and what is in its way."""
        from station.views.web import wording
        from station.views.web.probe import Pulse

        last = self._book.last_sample()
        trouble = self._logger.trouble
        if self._logger.decoder.question is not None:
            trouble = wording.PROBE_QUESTION  # the question's own text may hold a value
        return Pulse(
            None if last is None else last.time,
            recording=True,
            trouble=f"{trouble[0].upper()}{trouble[1:]}." if trouble else "",
            rejected=self._book.counts()[1],
        )


def _until(stop: Callable[[], bool], end: Callable[[], None]) -> None:
    while not stop():
        time.sleep(_LOOK_S)
    end()
