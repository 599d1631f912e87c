"""The sentences of the commands that record, carry and show: start, serve, log, and what they say of a book.

Words in braces are filled in and may be moved but not renamed.
"""

from __future__ import annotations

NO_BOOK = "there is no book {path}; if that is its name and place, make it with: station start {path}"
NEW_BOOK = "{path}: a new book"
STOP = "; stop with Ctrl-C"
BOOK_SO_FAR = "{path}: {samples} samples so far"
TWO_BOOKS = "give one book: {one} or {other}"
ONE_BOOK = "give one BOOK, or --rehearse without a book"
