"""Bytes into lines: our own buffer, because a serial read may end anywhere within a line."""

from __future__ import annotations

import re

#: Longest line that is kept, bytes. The longest shape seen in public sketches is below 300; a longer run
#: without an end of line is another device or noise.
LONGEST = 1024

_END = re.compile(rb"[\r\n]")


class LineBuffer:
    """Collects bytes and gives back complete lines without their end.

    A line ends with CR, LF or both; empty lines are nothing. Of a line longer than `LONGEST` the first
    `LONGEST` bytes come back, marked as too long, and the rest is dropped up to the next end of line.
    """

    def __init__(self) -> None:
        self._pending = bytearray()
        self._skipping = False

    def feed(self, data: bytes) -> list[tuple[bytes, bool]]:
        """Return the lines completed by ``data`` as (line, whole); whole is False if cut."""
        lines: list[tuple[bytes, bool]] = []
        *ended, rest = _END.split(data)
        for piece in ended:
            self._take(piece, lines)
            if not self._skipping and self._pending:
                lines.append((bytes(self._pending), True))
            self._pending.clear()
            self._skipping = False
        self._take(rest, lines)
        return lines

    def _take(self, piece: bytes, lines: list[tuple[bytes, bool]]) -> None:
        if self._skipping:
            return
        self._pending += piece
        if len(self._pending) > LONGEST:
            lines.append((bytes(self._pending[:LONGEST]), False))
            self._pending.clear()
            self._skipping = True
