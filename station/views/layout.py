"""Plain text for a console: tables, wrapped sentences, and letters that its encoding has."""

from __future__ import annotations

import textwrap
import unicodedata
from collections.abc import Collection, Sequence

from station.views.phrases import MINUS, NARROW

GAP = "  "
#: What stands in for a letter that a console's encoding lacks.
STAND_INS = {
    MINUS: "-",
    "±": "+/-",
    "–": "-",
    "°C": "degC",
    "°": "deg ",
    "’": "'",
    "…": "...",
    "“": '"',
    "”": '"',
}


def heading(words: str) -> list[str]:
    """Return a heading and the rule under it."""
    return [words, "=" * len(words)]


def table(
    header: Sequence[str],
    rows: Sequence[Sequence[str]],
    words: Collection[int] = (0,),
    width: int | None = None,
) -> list[str]:
    """Return lines of a table; columns of words aligned left, columns of numbers right.

    Parameters
    ----------
    header, rows
        One cell a column; a last column without any text is left out.
    words
        Positions of the columns that hold words.
    width
        Columns of the console; a last column of words goes on below itself where it would pass them.
    """
    if not any(row[-1] for row in rows):
        header, rows = header[:-1], [row[:-1] for row in rows]
    last = len(header) - 1
    widths = [max(_wide(line[i]) for line in (header, *rows)) for i in range(len(header))]
    before = sum(widths[:-1]) + len(GAP) * last
    if width is not None and last in words:
        widths[last] = min(widths[last], max(width - before, 1))
    lines = []
    for line in (header, ["-" * w for w in widths], *rows):
        below: list[str] = []
        if last in words:
            first, *below = textwrap.wrap(line[last], widths[last]) or [""]
            line = [*line[:last], first]
        cells = [
            cell + " " * (wide - _wide(cell)) if i in words else " " * (wide - _wide(cell)) + cell
            for i, (cell, wide) in enumerate(zip(line, widths, strict=True))
        ]
        lines.append(GAP.join(cells).rstrip())
        lines += [" " * before + more for more in below]
    return lines


def wrapped(sentence: str, width: int, first: str = "", then: str = "") -> list[str]:
    """Return a sentence broken at spaces; a number stays with its unit."""
    return textwrap.wrap(
        sentence, width, initial_indent=first, subsequent_indent=then, break_on_hyphens=False
    )


def legible(text: str, encoding: str | None) -> str:
    """Return text that a console of this encoding can show: narrow spaces become spaces, rare signs words.

    Signs that would steer the console rather than show (an escape in a team's name) become ``?``.
    """
    text = text.replace(NARROW, " ")
    text = "".join("?" if unicodedata.category(c) == "Cc" and c != "\n" else c for c in text)
    encoding = encoding or "ascii"
    try:
        text.encode(encoding)
    except (UnicodeEncodeError, LookupError):
        for sign, instead in STAND_INS.items():
            if not _has(encoding, sign):
                text = text.replace(sign, instead)
        text = "".join(c if _has(encoding, c) else "?" for c in text)
    return text


def _has(encoding: str, text: str) -> bool:
    try:
        text.encode(encoding)
    except (UnicodeEncodeError, LookupError):
        return text.isascii()
    return True


def _wide(text: str) -> int:
    """Return how many columns of a console a text takes: wide letters two, marks above a letter none."""
    return sum(
        0 if unicodedata.combining(c) else 2 if unicodedata.east_asian_width(c) in "WF" else 1 for c in text
    )
