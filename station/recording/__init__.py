"""A folder of plain files <-> frames.

Every file of a recording is read as it comes from a spreadsheet, a logger or a person. A bad row costs that
row and is listed with its line; a file that cannot be used at all is one sentence.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from pathlib import Path
from zoneinfo import ZoneInfo

import pandas as pd

from station.base.exceptions import UnusableInput
from station.record.columns import READINGS, SAMPLES, TABLES, Frames, empty
from station.record.model import Problem
from station.recording.problems import Problems
from station.recording.readings import read_readings
from station.recording.rows import Context
from station.recording.samples import read_samples
from station.recording.tables import read_table
from station.recording.write import write

__all__ = ["files", "read", "write"]

Progress = Callable[[int, int], None]


def files(folder: Path | str) -> dict[str, Path]:
    """Return the files of a recording by their name in lower case.

    Raises
    ------
    UnusableInput
        The folder is not there, is no folder, or may not be read.
    """
    folder = Path(folder)
    try:
        return {path.name.casefold(): path for path in sorted(folder.iterdir())}
    except FileNotFoundError:
        raise UnusableInput(f"there is no folder {folder}") from None
    except NotADirectoryError:
        raise UnusableInput(f"{folder} is not a folder") from None
    except OSError as trouble:
        raise UnusableInput(f"{folder} cannot be read ({trouble.strerror})") from None


def read(
    folder: Path | str,
    zone: ZoneInfo,
    parts: Sequence[str] = ("morning", "afternoon"),
    teams: Sequence[str] = (),
    progress: Progress | None = None,
) -> Frames:
    """Return everything in a folder as frames.

    Parameters
    ----------
    folder
        The recording.
    zone
        Zone of times that are written without an offset.
    parts
        Names of the parts of the day, as the settings spell them.
    teams
        Labels of the teams; with none, any team is taken without a word.
    progress
        Called with bytes done and bytes in all while the series are read.

    Raises
    ------
    UnusableInput
        One sentence about the folder or the file that cannot be used.
    """
    found = files(folder)
    context = Context(zone, tuple(parts), tuple(teams))
    notes: list[Problem] = []
    probes = {probe: path for path in found.values() if (probe := _probe(path.name)) is not None}
    if not probes and "readings.csv" not in found:
        raise UnusableInput(f"{folder} holds neither readings.csv nor probe.csv")
    weather = [found["weather.csv"]] if "weather.csv" in found else []
    meter = _Meter([*probes.values(), *weather], progress)

    def samples(path: Path) -> pd.DataFrame:
        problems = Problems(path.name)
        frame = read_samples(path, zone, problems, meter.at(path))
        notes.extend(problems.all())
        return frame

    def table(name: str) -> pd.DataFrame:
        path = found[f"{name}.csv"]
        problems = Problems(path.name)
        if name == "readings":
            frame = read_readings(path, context, problems)
        else:
            frame = read_table(path, name, context, problems)
        notes.extend(problems.all())
        return frame

    return Frames(
        probes={probe: samples(probes[probe]) for probe in sorted(probes)},
        weather=samples(weather[0]) if weather else empty(SAMPLES),
        readings=table("readings") if "readings.csv" in found else empty(READINGS),
        tables={name: table(name) for name in TABLES if f"{name}.csv" in found},
        problems=(*notes, *_strangers(found)),
    )


def _probe(name: str) -> str | None:
    """Return the probe whose file this is, ``None`` for any other file."""
    match = re.fullmatch(r"probe(?:-(.+))?\.csv", name, re.IGNORECASE)
    return (match[1] or "") if match else None


def _strangers(found: dict[str, Path]) -> list[Problem]:
    """Say which files look like data and are not used."""
    known = {"readings.csv", "weather.csv", *(f"{name}.csv" for name in TABLES)}
    notes = []
    for name, path in sorted(found.items()):
        if name == "probe.log":
            notes.append(Problem(path.name, 0, "not used: a raw serial capture is no table of samples"))
        elif (
            name.endswith((".csv", ".xlsx", ".ods"))
            and not name.startswith((".", "~"))  # left behind by systems and spreadsheets
            and name not in known
            and _probe(name) is None
        ):
            notes.append(Problem(path.name, 0, "not used: no file of a recording has this name"))
    return notes


class _Meter:
    """Adds up the bytes read of several files."""

    def __init__(self, paths: Sequence[Path], progress: Progress | None) -> None:
        self.progress = progress
        self.sizes = {path: path.stat().st_size for path in paths} if progress else {}
        self.done = 0

    def at(self, path: Path) -> Callable[[int], None] | None:
        """Return what to call with the bytes read of one file."""
        if self.progress is None:
            return None
        before, report = self.done, self.progress
        self.done += self.sizes[path]
        return lambda done: report(before + done, sum(self.sizes.values()))
