"""Files of rows as they come: bytes in blocks of whole lines, each line split into cells by itself.

A line is a row. A stray quote, a byte of another encoding or a line without end costs that line only,
which is why the ``csv`` module sees one line at a time.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from station.base.exceptions import BadEntry, UnusableInput

Progress = Callable[[int], None]

BLOCK = 1 << 23  # bytes read at once: large enough for numpy, small enough for any laptop
LONGEST = 1 << 16  # bytes of a line that may be a row; longer ones are no rows of ours
_SEPARATORS = (",", ";", "\t")


@dataclass(frozen=True)
class Block:
    """Whole lines, each ended by a newline; ``first`` is the number of the first, counted from 1."""

    data: bytes
    first: int


@dataclass(frozen=True)
class Header:
    """The first row: its names (lower case), the separator it uses, its line and its text."""

    names: tuple[str, ...]
    separator: str
    line: int
    text: str


def blocks(path: Path, progress: Progress | None = None) -> Iterator[Block]:
    """Yield a file in blocks of whole lines.

    A line longer than LONGEST that spans blocks comes as its beginning only, one byte too long to be a row.

    Raises
    ------
    UnusableInput
        The file is a folder, may not be read, or holds UTF-16.
    """
    if path.is_dir():
        raise UnusableInput(f"{path.name} is a folder, not a file")
    if path.exists() and not path.is_file():
        raise UnusableInput(f"{path.name} is not a file")  # a pipe would keep us waiting for ever
    first, rest = 1, b""
    newline: bytes | None = None
    try:
        with path.open("rb") as file:
            while data := file.read(BLOCK):
                if newline is None:
                    data = data.removeprefix(b"\xef\xbb\xbf")
                    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
                        raise UnusableInput(f"{path.name} is saved as UTF-16; save it as CSV in UTF-8")
                    newline = b"\r" if b"\r" in data and b"\n" not in data else b"\n"
                if newline == b"\r":  # files of long ago; told from the first block
                    data = data.replace(b"\r", b"\n")
                end = data.rfind(b"\n") + 1
                if end:
                    yield Block(rest + data[:end], first)
                    first += data.count(b"\n", 0, end)
                    rest = data[end:]
                else:
                    rest = (rest + data)[: LONGEST + 1]
                if progress:
                    progress(file.tell())
            if rest:
                yield Block(rest + b"\n", first)
    except OSError as trouble:
        raise UnusableInput(f"{path.name} cannot be read ({trouble.strerror})") from None


def decode(line: bytes) -> str:
    """Return a line as text: UTF-8, else Windows-1252, else Latin-1, which takes any byte."""
    for encoding in ("utf-8", "cp1252"):
        try:
            return line.decode(encoding)
        except UnicodeDecodeError:
            continue
    return line.decode("latin-1")


def split(line: bytes, separator: str) -> list[str]:
    """Return the cells of one line.

    Raises
    ------
    BadEntry
        The line is too long or holds bytes that no text has.
    """
    if len(line) > LONGEST:
        raise BadEntry(f"the line is longer than {LONGEST} bytes")
    if b"\0" in line:
        raise BadEntry("the line holds zero bytes, which no text has")
    text = decode(line).replace("\r", " ")
    if '"' not in text:
        return [cell.strip() for cell in text.split(separator)]
    return [cell.strip() for cell in next(csv.reader([text], delimiter=separator, skipinitialspace=True))]


def header(line: bytes, number: int) -> Header:
    """Return the header in the first line that is not blank."""
    text = decode(line[:LONGEST]).strip()
    separator = max(_SEPARATORS, key=text.count)
    names = [name.strip().strip('"').strip().casefold() for name in text.split(separator)]
    while names and not names[-1]:
        names.pop()
    return Header(tuple(names), separator, number, text)


def aligned(cells: list[str], width: int) -> list[str]:
    """Return exactly ``width`` cells: missing ones at the end are empty, surplus ones must be empty.

    Raises
    ------
    BadEntry
        The row has more cells than the header has names.
    """
    if any(cells[width:]):
        hint = "; is a decimal comma in a file separated by commas?" if len(cells) == width + 1 else ""
        raise BadEntry(f"{len(cells)} cells under {width} names{hint}")
    return cells[:width] + [""] * (width - len(cells))


def rows(path: Path, problems: Callable[[int, str, str], None]) -> Iterator[tuple[Header, int, list[str]]]:
    """Yield header, line and cells of each row of a small file; a row that cannot be split is a problem.

    A file with a header only yields the header once with line 0 and no cells; an empty file nothing.
    """
    found: Header | None = None
    for block in blocks(path):
        for offset, line in enumerate(block.data.split(b"\n")[:-1]):
            if not line.strip(b" \t\r,;"):
                continue
            if found is None:
                found = header(line, block.first + offset)
                yield found, 0, []
                continue
            try:
                yield found, block.first + offset, aligned(split(line, found.separator), len(found.names))
            except BadEntry as trouble:
                problems(block.first + offset, str(trouble), decode(line[:200]))
