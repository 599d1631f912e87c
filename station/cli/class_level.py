"""A recording without teams: what may leave the teacher's desk."""

from __future__ import annotations

import re
from dataclasses import replace

import pandas as pd

from station import settings
from station.base.exceptions import UnusableInput
from station.record.columns import Frames
from station.source import Recording
from station.views import wording_line

#: Fewer readings than this in a session could point to a pair (the project's rule for what leaves the desk).
SMALLEST_GROUP = 5
#: The one label in place of all teams.
LABEL = "class"

_DROPPED = ("coaching", "pairs", "edits")
_FREE_TEXT = ("reason", "topic", "line")


def without_teams(opened: Recording) -> tuple[Frames, str]:
    """Return frames and settings text in which nothing leads back to a team.

    Readings of a session come in order of value, without thermometer, time, waiting time and note, as a
    team's habits or the rota would show in those; small sessions are left out. Free text that names a team
    is blanked.

    Raises
    ------
    UnusableInput
        The settings name teams in a way that cannot be taken out safely.
    """
    frames = opened.frames
    labels = {*opened.settings.teams, *frames.readings["team"]}
    tables = {name: _blanked(table, labels) for name, table in frames.tables.items() if name not in _DROPPED}
    return replace(frames, readings=_readings(frames.readings), tables=tables), _settings(opened, labels)


def _readings(readings: pd.DataFrame) -> pd.DataFrame:
    if readings.empty:
        return readings
    size = readings.groupby(["date", "session"])["team"].transform("size")
    kept = readings[size >= SMALLEST_GROUP].sort_values(
        ["date", "session", "celsius", "fahrenheit"], kind="stable", na_position="last"
    )
    kept = kept.assign(team=LABEL, thermometer="", note="", waited=float("nan"))
    kept["time"] = kept["time"].where(kept["date"].isna())  # none: every reading has a date
    kept["line"] = range(2, len(kept) + 2)
    for scale in ("celsius", "fahrenheit"):  # as a plain number: how a pair writes is a habit too
        kept[f"{scale}_written"] = ["" if pd.isna(value) else f"{value:g}" for value in kept[scale]]
    return kept.astype(dict(readings.dtypes)).reset_index(drop=True)


def _blanked(table: pd.DataFrame, labels: set[str]) -> pd.DataFrame:
    named = _pattern(labels)
    changed = table.copy()
    for column in set(_FREE_TEXT) & set(table):
        changed.loc[changed[column].str.contains(named), column] = ""
    return changed


def _settings(opened: Recording, labels: set[str]) -> str:
    """Return the text without [[teams]], comments, and the old list of teams."""
    kept, inside = [], False
    for line in opened.settings.text.splitlines():
        if line.lstrip().startswith("["):
            inside = line.replace(" ", "").startswith("[[teams]]")
        if not inside and not line.lstrip().startswith("#"):
            kept.append(line)
    text = "\n".join(kept) + "\n"
    if settings.parse(text).teams or _pattern(labels).search(text):
        raise UnusableInput(wording_line.TEAMS_NAMED)
    return text


def _pattern(labels: set[str]) -> re.Pattern[str]:
    words = "|".join(re.escape(label) for label in sorted(labels) if label) or "(?!)"
    return re.compile(rf"(?i)(?<!\w)(?:{words})(?!\w)")
