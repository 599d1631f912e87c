"""Frames back into a folder of plain files that reads again as the same frames."""

from __future__ import annotations

import csv
import datetime as dt
import math
import re
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd

from station.base.exceptions import UnusableInput
from station.record.columns import TABLES, Frames

_NO_TEXT = re.compile(r"[\r\n\0]+")  # a line is a row, and no text holds a zero byte
_STEP = 1 << 18  # rows turned into text at once


def write(frames: Frames, folder: Path | str, settings_text: str, zone: ZoneInfo, readme: str = "") -> None:
    """Write a recording as a folder; files that are there already under these names are replaced.

    Instants are written in UTC with ``Z``, the clock times of readings in the site's ``zone``, values as they
    were written by hand. Line breaks inside a cell become spaces, since a line is a row.

    Raises
    ------
    UnusableInput
        The folder cannot be written.
    """
    folder = Path(folder)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        (folder / "station.toml").write_text(settings_text, encoding="utf-8", newline="\n")
        if readme:
            (folder / "README.md").write_text(readme, encoding="utf-8", newline="\n")
        for name, samples in frames.probes.items():
            _samples(folder / (f"probe-{name}.csv" if name else "probe.csv"), samples)
        if len(frames.weather):
            _samples(folder / "weather.csv", frames.weather)
        if len(frames.readings) or not frames.probes:
            _rows(folder / "readings.csv", *_readings(frames.readings, zone))
        for name, table in frames.tables.items():
            columns = tuple(TABLES[name])
            _rows(folder / f"{name}.csv", columns, zip(*(map(_text, table[c]) for c in columns), strict=True))
    except OSError as trouble:
        raise UnusableInput(f"{folder} cannot be written ({trouble.strerror})") from None


def _samples(path: Path, samples: pd.DataFrame) -> None:
    """Write time and value, a block of rows at a time; values in the shortest form that reads back equal."""
    micros = samples["time"].dt.tz_localize(None).to_numpy("M8[us]")
    celsius = samples["celsius"].to_numpy()
    with path.open("w", encoding="utf-8", newline="\n") as file:
        file.write("time,celsius\n")
        for start in range(0, len(micros), _STEP):
            stamps = np.datetime_as_string(micros[start : start + _STEP], unit="us")
            values = celsius[start : start + _STEP].tolist()
            file.writelines(
                f"{stamp.removesuffix('.000000')}Z,{_number(value)}\n"
                for stamp, value in zip(stamps, values, strict=True)
            )


def _readings(readings: pd.DataFrame, zone: ZoneInfo) -> tuple[Sequence[str], Iterable[Iterable[str]]]:
    """Return header and rows of readings.csv; optional columns only where something stands in them."""
    local = readings["time"].dt.tz_convert(zone)
    columns = {
        "date": map(_text, readings["date"]),
        "session": readings["session"],
        "team": readings["team"],
        "thermometer": readings["thermometer"],
        "celsius": readings["celsius_written"],
        "fahrenheit": readings["fahrenheit_written"],
    }
    if local.notna().any():
        columns["time"] = ("" if pd.isna(at) else f"{at:%H:%M:%S}".removesuffix(":00") for at in local)
    if readings["waited"].notna().any():
        columns["waited"] = map(_text, readings["waited"])
    if (readings["note"] != "").any():
        columns["note"] = readings["note"]
    return list(columns), zip(*columns.values(), strict=True)


def _rows(path: Path, header: Sequence[str], rows: Iterable[Iterable[str]]) -> None:
    """Write a small file."""
    with path.open("w", encoding="utf-8", newline="", errors="replace") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(header)
        writer.writerows([_NO_TEXT.sub(" ", cell) for cell in row] for row in rows)


def _text(value: Any) -> str:
    """Return a value of a frame as its cell."""
    if isinstance(value, float):
        return "" if math.isnan(value) else _number(value)
    if isinstance(value, pd.Timestamp):
        return value.tz_convert(dt.UTC).isoformat().replace("+00:00", "Z")
    return value.isoformat() if isinstance(value, dt.date) else str(value)


def _number(value: float) -> str:
    """Return the shortest text that reads back as the same value, whole numbers without a point."""
    return repr(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)
