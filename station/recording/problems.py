"""A collector of rows that were not used as written: every one is counted, the first ones are listed."""

from __future__ import annotations

import unicodedata

from station.base.exceptions import UnusableInput
from station.record.entry import shown
from station.record.model import Problem

LISTED = 1000  # of one file; a file broken throughout must not fill the memory with its own complaints
SHOWN = 200  # characters kept of a row


def no_column(file: str, line: int, column: str, header: str) -> UnusableInput:
    """Return the situation of a table without a column it needs; bytes that are no text are not shown."""
    told = f'{file} line {line}: no column "{column}"'
    if any(unicodedata.category(letter) == "Cc" and letter != "\t" for letter in header):
        return UnusableInput(f"{told}, and this is no text; save the table as CSV in UTF-8")
    return UnusableInput(f"{told} in the header {shown(header, 100)}")


class Problems:
    """What was wrong in one file."""

    def __init__(self, file: str) -> None:
        self.file = file
        self._listed: list[Problem] = []
        self._said: set[str] = set()
        self._more = 0
        self._first_more = 0

    def add(self, line: int, reason: str, text: str = "") -> None:
        """Note one row by its line (1 is the header; 0 is the file as a whole)."""
        if len(self._listed) < LISTED:
            self._listed.append(Problem(self.file, line, reason, text[:SHOWN]))
            return
        self.count(line, 1)

    def add_once(self, reason: str, line: int) -> None:
        """Note something that many rows may share, at the first of them."""
        if reason not in self._said:
            self._said.add(reason)
            self.add(line, reason)

    def count(self, line: int, rows: int) -> None:
        """Note some more rows, from a line on, without a reason for each."""
        if rows:
            self._first_more = min(self._first_more or line, line)
            self._more += rows

    def all(self) -> tuple[Problem, ...]:
        """Return them in the order of lines, ended by a count where not all are listed."""
        listed = sorted(self._listed, key=lambda problem: problem.line)
        if self._more:
            listed.append(
                Problem(
                    self.file,
                    self._first_more,
                    f"{self._more} more rows from this line on were not used as written",
                )
            )
        return tuple(listed)
