"""What the findings need to know from the comparison, as plain tables and values."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import pandas as pd

from station.record.model import Thermometer

Key = tuple[object, str]


@dataclass(frozen=True)
class Question:
    """What the findings need from the comparison; tables as in ``assess.Assessment``.

    ``readings`` (with ``offset``), ``teams``, ``segments``, ``thermometers``; ``changes`` of teams: ``team,
    date, change`` ("coaching", "new pair", "one reader"); ``describe`` a number; ``parts`` of the day;
    ``references`` by (date, part): value and standard uncertainty [degC]; ``record_at(date, part, minutes)``:
    the record [degC] that long after the session's clock time, NaN where none; ``quiet``: sessions in doubt
    for another reason, such as sun; ``shared_u_c`` [degC].
    """

    readings: pd.DataFrame
    teams: pd.DataFrame
    segments: pd.DataFrame
    thermometers: pd.DataFrame
    changes: pd.DataFrame
    describe: Callable[[str], Thermometer]
    parts: tuple[str, ...]
    references: Mapping[Key, tuple[float, float]]
    record_at: Callable[[dt.date, str, float], float]
    indoor_c: float
    carried: bool
    shared_u_c: float
    quiet: frozenset[Key] = frozenset()
