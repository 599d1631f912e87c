"""``station ports``: the serial ports of this computer, and which one looks like a probe."""

from __future__ import annotations

import time

import click


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

    seen = [Seen(port, True, "asked for", "")] if port else seen_ports()
    if not seen:
        click.echo("no serial port: plug the probe's lead in; on Linux the user may need the group dialout")
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
                    return f"speaks like a probe: {result.celsius:.2f} °C in the line {result.line!r}"
                refused = f"no value yet, last line {result.line[:60]!r}: {result.reason}"
        return refused or f"silent for {seconds:g} s"
    except PortLost as lost:
        return str(lost)
    finally:
        port.close()
