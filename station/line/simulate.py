"""A probe that is not there: lines as the firmware or a cheap sketch writes them, with troubles on demand."""

from __future__ import annotations

import os
import random
import select
import socket
import time
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from station.line import own

#: shape -> the line for a value [degC] at an uptime [s]
SHAPES: dict[str, Callable[[float, float], bytes]] = {
    "own": own.write,
    "bare": lambda celsius, uptime_s: f"{celsius:.2f}\r\n".encode(),
    "label": lambda celsius, uptime_s: f"Temp: {celsius:.2f} C\r\n".encode(),
    "fahrenheit": lambda celsius, uptime_s: f"Temp F: {1.8 * celsius + 32.0:.2f}\r\n".encode(),
    "counter": lambda celsius, uptime_s: f"{round(uptime_s * 1e3)},{celsius:.2f}\r\n".encode(),
}
#: What can go wrong on demand; each happens about once in `_SELDOM` lines.
TROUBLES = ("unplug", "reset", "silence", "torn", "noise", "power-on", "disconnected", "nan", "greeting")
_SELDOM = 20
#: How long the cable is out, or the probe silent, s.
_AWAY_S = 3.0


@dataclass(frozen=True)
class Event:
    """What the probe does next: wait ``after_s``, then send ``data``, or pull the cable for ``away_s``."""

    after_s: float
    data: bytes = b""
    away_s: float = 0.0


def events(
    values: Iterable[float], *, every_s: float, shape: str, troubles: Iterable[str], seed: int
) -> Iterator[Event]:
    """Yield what a probe does that measures ``values`` [degC], one every ``every_s`` seconds."""
    chance = random.Random(seed)
    wanted = tuple(troubles)
    write = SHAPES[shape]
    uptime_s = 0.0
    for value in values:
        uptime_s += every_s
        line = write(value, uptime_s)
        trouble = chance.choice(wanted) if wanted and chance.random() < len(wanted) / _SELDOM else ""
        match trouble:
            case "unplug":
                yield Event(every_s, away_s=_AWAY_S)
                uptime_s = 0.0
                continue
            case "reset":
                uptime_s = 0.0
                line = (
                    own.write_words("start 1", 0.0) if shape == "own" else b"rst cause:2, boot mode:(3,6)\r\n"
                )
            case "silence":
                yield Event(_AWAY_S)
            case "torn":
                line = line[: chance.randrange(1, len(line))] + b"\n"
            case "noise":
                line = chance.randbytes(chance.randint(1, 40)) + b"\n" + line
            case "power-on":
                line = (
                    write(85.0, uptime_s)
                    if shape != "own"
                    else own.write_words("fault: power-on value", uptime_s)
                )
            case "disconnected":
                line = (
                    write(-127.0, uptime_s)
                    if shape != "own"
                    else own.write_words("fault: no sensor", uptime_s)
                )
            case "nan":
                line = b"nan\r\n"
            case "greeting":
                line = b"Locating devices...Found 1 devices.\r\n" + line
        yield Event(every_s, line)


def serve_pty(plan: Iterable[Event], tell: Callable[[str], None]) -> None:
    """Play on a pseudo-terminal; ``tell`` gets its name, and a new one each time the cable comes back."""
    import pty
    import tty

    master, slave = -1, -1
    try:
        for event in plan:
            if master < 0:
                master, slave = pty.openpty()
                tty.setraw(slave)
                tell(os.ttyname(slave))
            time.sleep(event.after_s)
            if event.away_s:
                os.close(master)
                os.close(slave)
                master = slave = -1
                time.sleep(event.away_s)
                continue
            if select.select([], [master], [], 0.0)[1]:  # nobody reads: the bytes are lost, as on a wire
                os.write(master, event.data)
    finally:
        for handle in (master, slave):
            if handle >= 0:
                os.close(handle)


def serve_tcp(plan: Iterable[Event], port: int, tell: Callable[[str], None]) -> None:
    """Play to whoever connects to ``port`` on this computer only (0: any free one); ``tell`` gets the URL."""
    server: socket.socket | None = None
    listeners: list[socket.socket] = []
    try:
        for event in plan:
            if server is None:
                server = socket.create_server(("127.0.0.1", port))
                port = server.getsockname()[1]
                server.setblocking(False)
                tell(f"socket://127.0.0.1:{port}")
            time.sleep(event.after_s)
            _welcome(server, listeners)
            if event.away_s:
                _hang_up(listeners)
                server.close()
                server = None
                time.sleep(event.away_s)
                continue
            for listener in tuple(listeners):
                try:
                    listener.sendall(event.data)
                except OSError:
                    listener.close()
                    listeners.remove(listener)
    finally:
        _hang_up(listeners)
        if server is not None:
            server.close()


def _welcome(server: socket.socket, listeners: list[socket.socket]) -> None:
    while True:
        try:
            listener, _ = server.accept()
        except BlockingIOError:
            return
        listener.setblocking(True)
        listeners.append(listener)


def _hang_up(listeners: list[socket.socket]) -> None:
    for listener in listeners:
        listener.close()
    listeners.clear()
