"""``station demo``: write the invented class as a recording."""

from __future__ import annotations

from pathlib import Path

import click

from station.cli.import_export import must_be_new
from station.views import wording_line


@click.command()
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))
@click.option("--school-days", is_flag=True, help="Keep only what a laptop logs that goes home after school.")
def demo(folder: Path, school_days: bool) -> None:
    """Write the invented class Larch Lane into DIR as a recording."""
    from station.recording import write
    from station.scenario.larch_lane import larch_lane
    from station.scenario.play import play
    from station.scenario.readme import readme

    must_be_new(folder)
    plan = larch_lane(school_days_only=school_days)
    scenario = play(plan)
    text = readme(plan, "Larch Lane, school days" if school_days else "Larch Lane")
    write(scenario.frames, folder, scenario.settings_text, plan.site.zone, text)
    click.echo(wording_line.WROTE_DEMO.format(folder=folder))
