"""Frames: the names, kinds and units of their columns, and the one checker at the boundary.

Every frame has a fresh ``RangeIndex``. Instants are ``datetime64[us, UTC]``; a naive time is refused.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import pandas as pd

from station.base.exceptions import StationException
from station.record.model import Problem, TimeDoubt

TIME = "datetime64[us, UTC]"

#: A probe's record or a regional series, in order of time. time: UTC; celsius: degC.
SAMPLES: Mapping[str, str] = {"time": TIME, "celsius": "float64"}

#: The pupils' entries, in the order of the file. date: ``datetime.date``; session: part of the day;
#: celsius, fahrenheit: value, NaN where none; *_written: the cell as written; time: UTC instant of the
#: reading or NaT; waited: minutes outdoors or NaN; line: line of the file, from 2.
READINGS: Mapping[str, str] = {
    "date": "object",
    "session": "str",
    "team": "str",
    "thermometer": "str",
    "celsius": "float64",
    "fahrenheit": "float64",
    "celsius_written": "str",
    "fahrenheit_written": "str",
    "time": TIME,
    "waited": "float64",
    "note": "str",
    "line": "int64",
}

#: Small optional files, columns as written in the file; dates are ``datetime.date``, times UTC.
TABLES: Mapping[str, Mapping[str, str]] = {
    "coaching": {"team": "str", "date": "object", "topic": "str"},
    "pairs": {"team": "str", "date": "object", "change": "str"},
    "edits": {
        "at": TIME, "by": "str", "table": "str", "row": "str",
        "column": "str", "old": "str", "new": "str", "reason": "str",
    },
    "decisions": {"date": "object", "session": "str", "class_value": "float64", "reason": "str"},
    "sessions": {
        "date": "object", "session": "str", "held": "str", "reason": "str", "shadow": "str", "air": "str",
    },
    "shadow": {"time": TIME, "shadow": "str"},
    "opening": {"azimuth": "float64", "elevation": "float64"},
    "rejected": {"time": TIME, "line": "str", "reason": "str"},
    "checks": {
        "date": "object", "kind": "str", "thermometer": "str", "scale": "str",
        "reader": "str", "reference": "float64", "reading": "float64",
    },
}  # fmt: skip


def empty(columns: Mapping[str, str]) -> pd.DataFrame:
    """Return a frame with these columns and no row."""
    return pd.DataFrame({name: pd.Series(dtype=kind) for name, kind in columns.items()})


def check(frame: pd.DataFrame, columns: Mapping[str, str], what: str) -> pd.DataFrame:
    """Return ``frame`` if it has exactly these columns and kinds.

    Raises
    ------
    StationException
        Names the first column that is missing or of another kind.
    """
    for name, kind in columns.items():
        if name not in frame:
            raise StationException(f"{what} has no column {name}")
        if frame[name].dtype != pd.Series(dtype=kind).dtype:
            raise StationException(f"{what} column {name} is {frame[name].dtype}, expected {kind}")
    return frame


@dataclass(frozen=True)
class Frames:
    """Everything measured and written in one recording, as frames.

    ``probes`` maps the probe's name ("" for ``probe.csv``) to SAMPLES; ``readings`` is READINGS;
    ``weather`` is SAMPLES; ``tables`` holds those of TABLES that exist; ``problems`` lists rows that were
    not used as written; ``time_doubts`` says where the stamps of the probe at the place are uncertain.
    """

    probes: Mapping[str, pd.DataFrame] = field(default_factory=dict)
    readings: pd.DataFrame = field(default_factory=lambda: empty(READINGS))
    weather: pd.DataFrame = field(default_factory=lambda: empty(SAMPLES))
    tables: Mapping[str, pd.DataFrame] = field(default_factory=dict)
    problems: tuple[Problem, ...] = ()
    time_doubts: tuple[TimeDoubt, ...] = ()

    def table(self, name: str) -> pd.DataFrame:
        """Return the optional table ``name``, empty where the recording has none."""
        return self.tables.get(name, empty(TABLES[name]))

    @property
    def probe(self) -> pd.DataFrame:
        """Return the record of the probe at the place."""
        return self.probes.get("", empty(SAMPLES))
