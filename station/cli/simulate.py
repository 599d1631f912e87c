"""``station simulate``: a virtual probe, for trying things out without one."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from pathlib import Path

import click

from station.line.simulate import SHAPES, TROUBLES
from station.views import wording_line


@click.command()
@click.option("--tcp", is_flag=True, help="On TCP, as socket://; works on any system.")
@click.option(
    "--tcp-port", type=click.IntRange(0, 65535), default=0, help="Which TCP port; 0 is any free one."
)
@click.option(
    "--rate", type=click.FloatRange(min=0, min_open=True), default=0.1, help="Lines a second. Default 0.1."
)
@click.option("--seed", type=int, default=1, help="For troubles; the same seed gives the same.")
@click.option(
    "--trouble", type=click.Choice([*TROUBLES, "all"]), multiple=True, help="What goes wrong now and then."
)
@click.option("--shape", type=click.Choice(list(SHAPES)), default="own", help="How the lines look.")
@click.option(
    "--recording", type=click.Path(path_type=Path), default=None, metavar="FOLDER",
    help="Play the probe of this recording; without it, of the invented class.",
)  # fmt: skip
@click.option("--lines", type=click.IntRange(min=1), default=None, metavar="N", help="Stop after N lines.")
def simulate(
    tcp: bool, tcp_port: int, rate: float, seed: int, trouble: tuple[str, ...], shape: str,
    recording: Path | None, lines: int | None,
) -> None:  # fmt: skip
    """Play a probe on a pseudo-terminal and print its name; the recording's samples over and over."""
    import os

    from station.base.exceptions import UnusableInput
    from station.line.simulate import events, serve_pty, serve_tcp

    values: Iterator[float] = itertools.cycle(_values(recording))
    plan = events(
        itertools.islice(values, lines) if lines else values,
        every_s=1.0 / rate,
        shape=shape,
        troubles=TROUBLES if "all" in trouble else trouble,
        seed=seed,
    )
    try:
        if tcp:
            try:
                serve_tcp(plan, tcp_port, click.echo)
            except OSError as trouble:
                why = str(trouble.strerror).split(" (")[0]
                raise UnusableInput(wording_line.PORT_TAKEN.format(port=tcp_port, why=why)) from None
        elif os.name == "posix":
            serve_pty(plan, click.echo)
        else:
            raise UnusableInput(wording_line.NO_PTY)
    except KeyboardInterrupt:
        return


def _values(folder: Path | None) -> list[float]:
    from station import source
    from station.base.exceptions import UnusableInput

    if folder is None:
        from station.scenario.larch_lane import larch_lane
        from station.scenario.play import play

        frame = play(larch_lane()).frames.probe
    else:
        frame = source.open(folder).frames.probe
    values = [float(value) for value in frame["celsius"] if value == value]
    if not values:
        raise UnusableInput(wording_line.NO_SAMPLE.format(folder=folder))
    return values
