"""Refused lines are kept, but a device that talks nonsense for weeks must not fill the disk."""

from __future__ import annotations

import datetime as dt

from station.record.model import RejectedLine

#: Lines of one kind that are kept whole in a UTC day: two a minute and a sketch's chatter many times over,
#: some 2 MB.
WHOLE_A_DAY = 20_000


class Restraint:
    """Beyond `WHOLE_A_DAY` lines of a kind in a day, lets one a minute through and counts the rest aloud."""

    def __init__(self) -> None:
        self._day: dict[str, tuple[dt.date, int]] = {}
        self._minute: dict[str, dt.datetime] = {}
        self._left_out: dict[str, int] = {}

    def take(self, kind: str, line: RejectedLine) -> list[RejectedLine]:
        """Return what to keep: the line, after a note of how many like it were left out; or nothing."""
        day, count = self._day.get(kind, (line.time.date(), 0))
        if day != line.time.date():
            day, count = line.time.date(), 0
        self._day[kind] = (day, count + 1)
        minute = line.time.replace(second=0, microsecond=0)
        if count >= WHOLE_A_DAY and self._minute.get(kind) == minute:
            self._left_out[kind] = self._left_out.get(kind, 0) + 1
            return []
        self._minute[kind] = minute
        left_out = self._left_out.pop(kind, 0)
        if not left_out:
            return [line]
        return [RejectedLine(line.time, "", f"{left_out} more lines like the one before: {kind}"), line]
