"""Cards of many tablets in few commits: who comes while the disk is busy is written with the next commit."""

from __future__ import annotations

import threading
from dataclasses import dataclass

from station.base.exceptions import StationException
from station.store import Book, Change, Typed


@dataclass
class _Waiting:
    typed: Typed
    done: list[Change] | StationException | None = None


class Writer:
    """Writes cards; ``write`` returns once the card is on the disk."""

    def __init__(self, book: Book) -> None:
        self._book = book
        self._turn = threading.Lock()
        self._guard = threading.Lock()
        self._waiting: list[_Waiting] = []

    def write(self, typed: Typed) -> list[Change]:
        """Write one card, together with all that wait, and return its changes.

        Raises
        ------
        BadEntry
            This card cannot be read; the others are written all the same.
        BookBusy, BookUnwritable
            No card of this commit was written.
        """
        mine = _Waiting(typed)
        with self._guard:
            self._waiting.append(mine)
        with self._turn:
            if mine.done is None:  # nobody took it along meanwhile
                with self._guard:
                    batch, self._waiting = self._waiting, []
                self._commit(batch)
        assert mine.done is not None
        if isinstance(mine.done, StationException):
            raise mine.done
        return mine.done

    def _commit(self, batch: list[_Waiting]) -> None:
        try:
            done = self._book.write_cards([one.typed for one in batch])
        except StationException as trouble:  # the disk, not a card: nobody's card is written
            for one in batch:
                one.done = trouble
            return
        for one, changes in zip(batch, done, strict=True):
            one.done = changes
