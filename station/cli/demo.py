"""``station demo``: write the invented class as a recording."""

from __future__ import annotations

from pathlib import Path

import click

from station.base.exceptions import UnusableInput


@click.command()
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path, file_okay=False))
@click.option("--school-days", is_flag=True, help="Keep only what a laptop logs that goes home after school.")
def demo(folder: Path, school_days: bool) -> None:
    """Write the invented class Larch Lane into DIR as a recording."""
    from station.scenario.folder import write
    from station.scenario.larch_lane import recording

    if folder.exists() and any(folder.iterdir()):
        raise UnusableInput(f"{folder} is not empty; give a new folder")
    try:
        write(folder, recording(school_days=school_days))
    except OSError as trouble:
        raise UnusableInput(f"{folder} cannot be written: {trouble.strerror}") from trouble
    click.echo(f"wrote {folder}; look at it with: station check {folder}")
