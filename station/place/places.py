"""Several probes: each place surveyed with the help of the others, and the places put in order of sun."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from station.place.days import Days, school_hours
from station.place.exposure import Exposure
from station.place.forecast import chance_in_session, planned
from station.place.hints import Beside
from station.place.survey import Survey, survey
from station.record.model import Role, School, Sessions, Site


@dataclass(frozen=True)
class Places:
    """Surveys by the probe's name ("" is the place of the class), and the ranking.

    ``ranking`` has one row a place that is not said to be in the open: ``name, verdict, school_minutes`` (sun
    in school hours of a clear school day, mean over recorded days), ``sessions`` (expected share of planned
    sessions in the sun under a clear sky), least sun first.
    """

    surveys: Mapping[str, Survey]
    ranking: pd.DataFrame

    @property
    def place(self) -> Survey:
        """The survey of the place where the class measures."""
        return self.surveys[""]


def survey_places(
    probes: Mapping[str, pd.DataFrame],
    roles: Mapping[str, Role],
    site: Site,
    school: School,
    sessions: Sessions,
    weather: pd.DataFrame | None = None,
    weeks: int = 8,
    *,
    notes: pd.DataFrame | None = None,
    sketch: pd.DataFrame | None = None,
) -> Places:
    """Survey every probe's place, twice where there are several: alone, then beside the others.

    Parameters
    ----------
    probes
        Usable samples by the probe's name, SAMPLES.
    roles
        "place", "open" or "candidate" by name.
    notes, sketch
        Belong to the place of the class.
    """

    def one(name: str, beside: Callable[[Days], Beside] | None) -> Survey:
        mine = name == ""
        return survey(
            probes[name], site, school, sessions, weather, weeks, notes=notes if mine else None,
            sketch=sketch if mine else None, beside=beside, in_the_open=roles.get(name) == "open",
        )  # fmt: skip

    found = {name: one(name, None) for name in probes}
    seen = {name: s.exposure for name, s in found.items() if s.exposure is not None}
    if len(seen) > 1:
        # Those in the open first: the air beside them shows their cloud, and they tell the others' sky.
        for name in sorted(seen, key=lambda n: roles.get(n) != "open"):
            others = {n: e for n, e in seen.items() if n != name}
            found[name] = one(name, lambda days, o=others: _beside(days, o, roles))  # type: ignore[misc]
            if roles.get(name) == "open":
                seen[name] = found[name].exposure or seen[name]
    return Places(found, _ranking(found, roles, site, school, sessions))


def _beside(days: Days, others: Mapping[str, Exposure], roles: Mapping[str, Role]) -> Beside:
    """Lay other probes' records on this grid: the coolest shaded one as air, those in the open as sky."""
    air, out = np.full(days.celsius.shape, np.nan), np.full(days.celsius.shape, np.nan)
    for name, other in others.items():
        lit = np.zeros(other.days.celsius.shape)
        lit[:, other.first : other.first + other.lit.shape[1]] = other.lit
        shaded = _onto(days, other.days, np.where(lit < 0.2, other.days.celsius, np.nan))
        air = np.fmin(air, shaded)
        if roles.get(name) == "open":
            up = (other.days.elevation > 6) & np.isfinite(other.days.celsius)
            out = np.fmax(out, _onto(days, other.days, np.where(up, lit, np.nan)))
    return Beside(days.celsius - air, out)


def _onto(days: Days, other: Days, values: np.ndarray) -> np.ndarray:
    """Return values of another grid at the nearest earlier cell of this one, NaN where it has none."""
    times = days.times()
    row = np.searchsorted(other.start, times, side="right") - 1
    column = ((times - other.start[np.maximum(row, 0)]) // np.timedelta64(other.step, "m")).astype(np.int64)
    good = (row >= 0) & (column < values.shape[1])
    return np.where(good, values[np.maximum(row, 0), np.minimum(column, values.shape[1] - 1)], np.nan)


def _ranking(
    found: Mapping[str, Survey], roles: Mapping[str, Role], site: Site, school: School, sessions: Sessions
) -> pd.DataFrame:
    rows = []
    for name, result in found.items():
        if roles.get(name) == "open" or result.exposure is None:
            continue
        calendar = result.calendar
        hours = school_hours(calendar.days, site, school)
        open_days = hours.any(axis=1)
        minutes = float((calendar.open * hours).sum(axis=1)[open_days].mean()) * calendar.days.step
        dates = calendar.days.dates(site)
        wanted = planned(school, sessions, dates[0], dates[-1])
        chances = [c for c, *_ in chance_in_session(calendar.open, calendar.days, site, sessions, wanted)]
        rows.append((name, result.verdict.answer, minutes, float(np.nanmean(chances)) if chances else 0.0))
    table = pd.DataFrame(rows, columns=["name", "verdict", "school_minutes", "sessions"])
    return table.sort_values(["sessions", "school_minutes"], ignore_index=True)
