"""``station check``: the cross-check of one recording, for a person, for a tool, or into files."""

from __future__ import annotations

import shutil
import sys
import time
from pathlib import Path

import click

from station import source
from station.assess import Assessment, cross_check
from station.base.exceptions import UnusableInput
from station.views import document, tables, terminal, wording
from station.views.layout import legible

#: A bar only appears when the work takes longer than this [s].
PATIENCE_S = 1.0


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document and nothing else.")
@click.option(
    "--out", type=click.Path(path_type=Path), help="Write pictures (PNG, SVG) and tables (CSV) there."
)
def check(folder: Path, as_json: bool, out: Path | None) -> None:
    """Compare the readings of a recording with the probe and with each other.

    FOLDER holds station.toml, probe.csv and readings.csv; a book is taken too. The page says what to do
    first, then shows sessions, teams, thermometers and the probe's record. Status 2 where the input can't
    be used.
    """
    bar = _Bar()
    recording = source.open(folder, bar.reading)
    assessment = cross_check(recording.frames, recording.settings, bar.working)
    written = None if out is None else _write(assessment, out, bar)
    bar.end()
    if as_json:
        click.echo(document.text(assessment))
        return
    width = shutil.get_terminal_size((terminal.WIDEST, 24)).columns
    text = terminal.page(assessment, recording.name, width)
    if written is not None:
        text += "\n" + wording.WROTE.format(n=len(written), directory=out) + "\n"
    click.echo(legible(text, sys.stdout.encoding), nl=False)


def _write(assessment: Assessment, out: Path, bar: _Bar) -> list[Path]:
    """Write tables and pictures.

    Raises
    ------
    UnusableInput
        The folder can't be made or written to.
    """
    from station.views import plots  # matplotlib takes a second to import

    bar.working(wording.STEP_WRITING, 0.9)
    try:
        out.mkdir(parents=True, exist_ok=True)
        return [*tables.write(assessment, out), *plots.write(assessment, out)]
    except OSError as trouble:
        raise UnusableInput(wording.NOT_WRITTEN.format(directory=out, why=trouble.strerror)) from None


class _Bar:
    """A progress bar on standard error: only on a terminal, and only when the work is long."""

    def __init__(self) -> None:
        self._shown = sys.stderr.isatty()
        self._begin = time.monotonic()
        self._drawn = False

    def reading(self, done: int, total: int) -> None:
        """Show how much of the files is read; reading is half of a long run."""
        self.working(wording.STEP_READING, 0.5 * done / total if total else 0.5)

    def working(self, step: str, share: float) -> None:
        """Show the share done and what is being done."""
        if not self._shown or time.monotonic() - self._begin < PATIENCE_S:
            return
        full = round(24 * share)
        self._drawn = True
        click.echo(f"\r[{'#' * full}{'.' * (24 - full)}] {step:<40.40}", err=True, nl=False)

    def end(self) -> None:
        """Wipe the bar."""
        if self._drawn:
            click.echo(f"\r{' ' * 68}\r", err=True, nl=False)
