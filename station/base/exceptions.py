"""Situations that stop the work, each told in one sentence.

The word *error* belongs to metrology here, so these classes are named after situations.
"""

from __future__ import annotations


class StationException(Exception):
    """Base of every situation that this package raises on purpose; its text is one plain sentence."""


class UnusableInput(StationException):
    """A file or folder cannot be used at all; names the file and, where there is one, the line."""


class BadEntry(StationException):
    """One entry (a cell, a line) cannot be read; it costs that entry only."""


class PortLost(StationException):
    """The serial port went away or cannot be opened."""


class BookDamaged(StationException):
    """A book failed its integrity check."""


class BookTooNew(StationException):
    """A book was written by a later version."""


class BookBusy(StationException):
    """Another process holds the book for writing."""


class BookUnwritable(StationException):
    """A book cannot be written now: disk full, read-only disk or folder."""
