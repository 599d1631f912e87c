"""``station ports``: the serial ports of this computer, and which one looks like a probe."""

from __future__ import annotations

import time

import click

from station.views import wording_line


@click.command()
@click.option(
    "--listen", type=click.FloatRange(min=0), default=12.0, metavar="N",
    help="Listen up to N seconds on each likely port (0: only list). Default 12, as probes speak every 10 s.",
)  # fmt: skip
@click.option("--port", default="", metavar="URL", help="Listen on this port only.")
def ports(listen: float, port: str) -> None:
    """List serial ports and say which looks like a probe, and why."""
    from station.line.port import Seen
    from station.line.port import ports as seen_ports

    seen = [Seen(port, True, wording_line.ASKED_FOR, "")] if port else seen_ports()
    if not seen:
        click.echo(wording_line.NO_PORTS)
        return
    for each in seen:
        heard = _heard(each.url, listen) if each.likely and listen else ""
        click.echo(f"{each.url}: {each.why}{'; ' + heard if heard else ''}")


def _heard(url: str, seconds: float) -> str:
    """Return what a port says within some seconds, in words."""
    from station.base.exceptions import PortLost
    from station.cli import live
    from station.line.outcome import Measured
    from station.line.protocol import Decoder

    decoder: Decoder[float] = Decoder()
    try:
        port = live.open_speaking(url, seconds / 2, decoder)
    except PortLost as lost:
        return str(lost)
    try:
        end, refused = time.monotonic() + seconds, ""
        while time.monotonic() < end:
            for result in decoder.feed(port.read(), 0.0):
                if isinstance(result, Measured):
                    return wording_line.SPEAKS.format(celsius=result.celsius, line=repr(result.line))
                refused = wording_line.NO_VALUE_YET.format(line=repr(result.line[:60]), why=result.reason)
        return refused or wording_line.SILENT.format(seconds=seconds)
    except PortLost as lost:
        return str(lost)
    finally:
        port.close()
