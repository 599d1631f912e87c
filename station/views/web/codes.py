"""Four words a team and session: what opens a team's own card on the pupils' page, and nothing else.

Four of 128 words are 28 bits. With 40 codes in use and six guesses a minute let through, finding one by
trying takes two years on average (2**28 / 40 / 6 min), and a code lives for one session.
"""

from __future__ import annotations

import secrets
import threading
import time
from collections import deque
from collections.abc import Callable

from station.record.model import Session
from station.store import Book

_TEXT = """
    acorn anchor apple apron arrow autumn badge bamboo banana barrel basket beach bean beaver bench
    berry blanket boat bottle branch bread breeze brick bridge brook brush bucket butter button cabin
    camel candle canoe carpet carrot castle cave chalk cheese cherry circle clay cliff cloud clover coat
    copper coral cotton cream crown cup curtain daisy desert dolphin drum duck eagle earth echo elbow
    engine falcon feather fern field finger fire flag flute forest fork fox garden glove goose grape
    grass hammer harbor hat hill honey horse ink island jacket jelly kettle kite ladder lake lamp leaf
    lemon lion maple marble meadow melon mirror moon moss mouse needle nest nut oak ocean olive onion
    orange otter oven owl paper peach pear pebble pencil pepper piano planet plum pond pumpkin rabbit
"""
WORDS = tuple(_TEXT.split())
COUNT = 4
_KEY = "table codes"
#: Wrong guesses let through in `WINDOW_S`: from one address, and from all together.
PER_ADDRESS, ALTOGETHER = 8, 60
WINDOW_S = 600.0


class Codes:
    """The codes of the session in hand; new ones for each session."""

    def __init__(self, book: Book) -> None:
        self._book = book
        self._lock = threading.Lock()

    def of(self, session: Session, teams: tuple[str, ...]) -> dict[str, str]:
        """Return the words of each team, made where they are missing."""
        with self._lock:
            kept = self._book.recall(_KEY) or {}
            if kept.get("session") != str(session):
                kept = {"session": str(session), "words": {}}
            words: dict[str, str] = kept["words"]
            missing = [team for team in teams if team not in words]
            for team in missing:
                words[team] = _new(set(words.values()))
            if missing:
                self._book.remember(_KEY, kept)
            return {team: words[team] for team in teams}

    def team(self, session: Session, typed: str, teams: tuple[str, ...]) -> str | None:
        """Return the team whose words were typed, None for any others."""
        words = plain(typed)
        found = None
        for team, code in self.of(session, teams).items():
            if secrets.compare_digest(code.encode(), words.encode()):
                found = team
        return found


class Guesses:
    """Counts wrong guesses and says when to wait."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._lock = threading.Lock()
        self._all: deque[tuple[float, str]] = deque()

    def must_wait(self, address: str) -> bool:
        """Tell whether too many wrong guesses came lately, from this address or from all."""
        with self._lock:
            self._forget()
            mine = sum(one == address for _, one in self._all)
            return mine >= PER_ADDRESS or len(self._all) >= ALTOGETHER

    def wrong(self, address: str) -> None:
        """Count a wrong guess."""
        with self._lock:
            self._forget()
            self._all.append((self._clock(), address))

    def _forget(self) -> None:
        while self._all and self._clock() - self._all[0][0] > WINDOW_S:
            self._all.popleft()


def plain(typed: str) -> str:
    """Return words as they are kept: small letters, one hyphen between."""
    return "-".join("".join(c if c.isalpha() else " " for c in typed.casefold()).split())


def _new(taken: set[str]) -> str:
    while True:
        words = "-".join(secrets.choice(WORDS) for _ in range(COUNT))
        if words not in taken:
            return words
