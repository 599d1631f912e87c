"""``station site``: does the sun reach the place, and when will it."""

from __future__ import annotations

import shutil
import sys
import textwrap
from pathlib import Path

import click

from station import source
from station.base.exceptions import UnusableInput
from station.views import site_document, site_words, terminal, wording, wording_place
from station.views.layout import legible
from station.views.terminal import basis

#: The files that say something of the sun, by how their names begin.
READ = ("probe", "weather", "shadow", "sessions", "opening")


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document and nothing else.")
@click.option(
    "--weeks", type=click.IntRange(0, 60), default=8, show_default=True, help="How far to look ahead."
)
@click.option("--out", type=click.Path(path_type=Path), help="Write the pictures (PNG, SVG) there.")
def site(folder: Path, as_json: bool, weeks: int, out: Path | None) -> None:
    """Tell whether the place stays shaded and which coming sessions will be in the sun.

    FOLDER holds station.toml (with latitude and longitude) and probe.csv; weather.csv, probe-<name>.csv,
    shadow.csv, sessions.csv and opening.csv help. Status 2 where the input can't be used.
    """
    recording = source.open(folder)
    places = source.survey_site(recording, weeks)
    zone = recording.settings.site.zone
    written = []
    if out is not None:
        from station.views import plots_place  # matplotlib takes a second to import

        try:
            out.mkdir(parents=True, exist_ok=True)
            written = plots_place.write(places.place, recording.settings, out)
        except OSError as trouble:
            raise UnusableInput(wording.NOT_WRITTEN.format(directory=out, why=trouble.strerror)) from None
    if as_json:
        click.echo(site_document.text(places, zone, weeks))
        return
    width = min(shutil.get_terminal_size((terminal.WIDEST, 24)).columns, terminal.WIDEST)
    lines = [wording_place.HEADING, ""]
    for paragraph in site_words.paragraphs(places, zone, weeks):
        lines += [*textwrap.wrap(paragraph, width), ""]
    problems = [p for p in recording.frames.problems if p.file.startswith(READ)]
    if problems:
        lines += [*basis.problems(problems, width, wording_place.PROBLEMS_MORE), ""]
    if written:
        lines += [wording_place.WROTE.format(n=len(written), directory=out), ""]
    click.echo(legible("\n".join(lines), sys.stdout.encoding), nl=False)
