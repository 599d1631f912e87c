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
from station.recording.samples import read_samples
from station.recording.tables import Context, read_readings, read_table
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
    if not folder.exists():
        raise UnusableInput(f"there is no folder {folder}")
    if not folder.is_dir():
        raise UnusableInput(f"{folder} is not a folder")
    try:
        return {path.name.casefold(): path for path in sorted(folder.iterdir(), reverse=True)}
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
    series = {name: path for name in found if (path := found[name]) and _probe(name) is not None}
    if not series and "readings.csv" not in found:
        raise UnusableInput(f"{folder} holds neither readings.csv nor probe.csv")
    if "weather.csv" in found:
        series["weather.csv"] = found["weather.csv"]
    meter = _Meter(list(series.values()), progress)

    def samples(name: str) -> pd.DataFrame:
        problems = Problems(name)
        frame = read_samples(series[name], zone, problems, meter.at(series[name]))
        notes.extend(problems.all())
        return frame

    def table(name: str) -> pd.DataFrame:
        problems = Problems(f"{name}.csv")
        path = found[f"{name}.csv"]
        frame = (
            read_readings(path, context, problems)
            if name == "readings"
            else read_table(path, name, context, problems)
        )
        notes.extend(problems.all())
        return frame

    frames = Frames(
        probes={probe: samples(name) for name in sorted(series) if (probe := _probe(name)) is not None},
        readings=table("readings") if "readings.csv" in found else empty(READINGS),
        weather=samples("weather.csv") if "weather.csv" in found else empty(SAMPLES),
        tables={name: table(name) for name in TABLES if f"{name}.csv" in found},
    )
    return Frames(frames.probes, frames.readings, frames.weather, frames.tables, (*notes, *_strangers(found)))


def _probe(name: str) -> str | None:
    """Return the probe whose file this is, ``None`` for any other file."""
    match = re.fullmatch(r"probe(?:-(.+))?\.csv", name)
    return (match[1] or "") if match else None


def _strangers(found: dict[str, Path]) -> list[Problem]:
    """Say which files look like data and are not used."""
    known = {"readings.csv", "weather.csv", *(f"{name}.csv" for name in TABLES)}
    return [
        Problem(path.name, 0, "not used: no file of a recording has this name" if name != "probe.log" else
                "not used yet: a raw serial capture")
        for name, path in sorted(found.items())
        if name == "probe.log"
        or (name.endswith((".csv", ".xlsx", ".ods")) and name not in known and _probe(name) is None)
    ]  # fmt: skip


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
