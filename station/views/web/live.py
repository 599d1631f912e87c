"""Live sentences by server-sent events: one stream a page, one look at the book for all of them."""

from __future__ import annotations

import asyncio
import json
import time
from collections.abc import AsyncIterator, Callable
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response, StreamingResponse

from station.views.web.desk import Desk

#: How often the streams look for something new [s]; a person reads ages in seconds, not in tenths.
EVERY_S = 2.0
#: A comment line at least this often keeps a stream from being taken for dead [s].
ALIVE_S = 20.0

News = dict[str, Any]


class Wire:
    """Makes the news at most once in `EVERY_S` however many pages listen, and sends what changed."""

    def __init__(self, news: Callable[[], News], every_s: float = EVERY_S) -> None:
        self._news, self._every = news, every_s
        self._last: tuple[float, News] = (-1e9, {})
        self._making = asyncio.Lock()

    async def now(self) -> News:
        """Return the news, not older than `EVERY_S`."""
        async with self._making:
            if time.monotonic() - self._last[0] >= self._every:
                self._last = (time.monotonic(), await run_in_threadpool(self._news))
            return self._last[1]

    async def events(self) -> AsyncIterator[str]:
        """Yield the news whenever they differ, as lines of an event stream."""
        sent, said = None, time.monotonic()
        while True:
            news = await self.now()
            if news != sent:
                yield f"data: {json.dumps(news)}\n\n"
                sent, said = news, time.monotonic()
            elif time.monotonic() - said > ALIVE_S:
                yield ":\n\n"
                said = time.monotonic()
            await asyncio.sleep(self._every)


async def stream(request: Request) -> Response:
    """Answer with a stream that ends when the page goes."""
    wire: Wire = request.app.state.wire
    headers = {"cache-control": "no-store", "x-accel-buffering": "no"}
    return StreamingResponse(wire.events(), media_type="text/event-stream", headers=headers)


async def once(request: Request) -> Response:
    """Answer with the news once, for a page whose stream does not come through."""
    wire: Wire = request.app.state.wire
    return JSONResponse(await wire.now())


async def screen_stream(request: Request) -> Response:
    """Answer the class screen with a stream that says nothing; while it is open, private pages ask first."""
    desk: Desk = request.app.state.desk

    async def silence() -> AsyncIterator[str]:
        desk.screens += 1
        try:
            while True:
                yield ":\n\n"
                await asyncio.sleep(EVERY_S)
        finally:
            desk.screens -= 1

    return StreamingResponse(silence(), media_type="text/event-stream", headers={"cache-control": "no-store"})
