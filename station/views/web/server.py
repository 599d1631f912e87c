"""One process, one loop: the teacher's pages on loopback, the pupils' page beside them if asked for."""

from __future__ import annotations

import asyncio
import contextlib
import socket
import threading
from collections.abc import Callable, Iterator

import uvicorn
from starlette.types import ASGIApp

from station.base.exceptions import UnusableInput
from station.views import wording_line

LOOPBACK = "127.0.0.1"
#: Streams are open for as long as a page is; this long a stop waits for them [s].
GRACE_S = 2


class _Server(uvicorn.Server):
    """A server that leaves signals to whoever runs the loop, so that two stop together."""

    @contextlib.contextmanager
    def capture_signals(self) -> Iterator[None]:
        yield


def listen(host: str, port: int) -> socket.socket:
    """Return a listening socket.

    Raises
    ------
    UnusableInput
        The port is taken or may not be used.
    """
    # the protocol is named, or asyncio leaves small answers waiting 40 ms for company (no TCP_NODELAY)
    sock = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    sock.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        sock.bind((host, port))
        sock.listen()  # another address of the same port may be taken, which shows only here
    except OSError as trouble:
        sock.close()
        raise UnusableInput(wording_line.PORT_TAKEN.format(port=port, why=trouble.strerror)) from None
    return sock


class Pages:
    """Servers that run until told to stop."""

    def __init__(self, *served: tuple[ASGIApp, socket.socket]) -> None:
        self._sockets = [sock for _, sock in served]
        self._servers = [
            _Server(
                uvicorn.Config(
                    app,
                    log_level="warning",
                    access_log=False,
                    server_header=False,
                    lifespan="off",
                    timeout_graceful_shutdown=GRACE_S,
                    limit_concurrency=400,
                    h11_max_incomplete_event_size=64 * 1024,
                )
            )
            for app, _ in served
        ]

    def stop(self) -> None:
        """End serving; may be called from any thread or signal handler."""
        for server in self._servers:
            server.should_exit = True

    def run(self, ready: Callable[[], None] = lambda: None, warm: Callable[[], None] = lambda: None) -> None:
        """Serve in this thread until stopped; ``ready`` is called once all answer, ``warm`` runs beside."""
        beside = threading.Thread(target=warm, name="warm")
        beside.start()
        asyncio.run(self._run(ready))
        beside.join()

    async def _run(self, ready: Callable[[], None]) -> None:
        tasks = [
            asyncio.create_task(server.serve(sockets=[sock]))
            for server, sock in zip(self._servers, self._sockets, strict=True)
        ]
        while not all(server.started for server in self._servers) and not any(t.done() for t in tasks):
            await asyncio.sleep(0.01)
        ready()
        await asyncio.wait(tasks, return_when=asyncio.FIRST_COMPLETED)
        self.stop()
        await asyncio.gather(*tasks)
