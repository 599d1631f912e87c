"""All cards of a run as distances, without teams: from their session's middle, and from the probe."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from station.assess import Assessment
from station.record.model import Session
from station.views.web.together.dots import FAR_C

Floats = npt.NDArray[np.float64]

#: Fewest cards of a session for a middle, and of a week for a comparison; more than five a group.
FEWEST_OF_SESSION, FEWEST_OF_WEEK = 6, 20
#: Two weeks are compared when this long lies between their first days [days].
WEEKS_APART = 14

#: Notes of a session that mean its cards did not all stand in the same shaded air at the same minute.
DOUBTS = frozenset(("sun", "clock", "step", "wrong_half_day", "wrong_date", "whole_class"))


@dataclass(frozen=True)
class Weeks:
    """Distances from the middle [degrees of the class's scale] in week 1 and in the week of a session.

    ``then`` and ``now``: how far from the middle they lie on average.
    """

    first: tuple[float, ...]
    this: tuple[float, ...]
    then: float
    now: float

    @property
    def ratio(self) -> float:
        """Return how much wider the dots lie now."""
        return self.now / self.then if self.then > 0 else 1.0


def distances(assessment: Assessment) -> pd.DataFrame:
    """Return the cards that need no second look, as distances.

    Returns
    -------
    DataFrame
        ``date, session, pair`` (a number in place of the team), ``thermometer, value``, ``middle`` and
        ``from_middle`` against the median of the session, ``from_probe`` (NaN without a reference, or where
        it is doubted), all in degrees of the class's scale. Sessions with fewer than
        `FEWEST_OF_SESSION` cards are left out.
    """
    rows = assessment.readings
    rows = rows[rows["indication"].notna() & ~(rows["questioned"] & rows["two_scale_difference"].notna())]
    middle = rows.groupby(["date", "session"])["indication"].transform("median")
    rows = rows[(rows["indication"] - middle).abs() <= FAR_C]
    grouped = rows.groupby(["date", "session"])["indication"]
    enough = grouped.transform("size") >= FEWEST_OF_SESSION
    factor, zero = (1.8, 32.0) if assessment.settings.school.class_scale == "fahrenheit" else (1.0, 0.0)
    out = pd.DataFrame(
        {
            "date": rows["date"],
            "session": rows["session"],
            "pair": pd.factorize(rows["team"])[0],
            "thermometer": rows["thermometer"],
            "value": rows["indication"] * factor + zero,
            "middle": grouped.transform("median") * factor + zero,
            "from_middle": (rows["indication"] - grouped.transform("median")) * factor,
            "from_probe": (rows["error"] * factor).where(~rows["doubted"]),
        }
    )
    return out[enough].reset_index(drop=True)


def clear_of_doubt(assessment: Assessment, cards: pd.DataFrame) -> pd.DataFrame:
    """Return the cards of sessions that nothing casts doubt on: sun, clock, date, half-day."""
    rows = assessment.sessions[["date", "session", "notes"]].itertuples(index=False)
    doubtful = {(date, part) for date, part, notes in rows if DOUBTS & set(notes)}
    doubtful |= {key for key, notes in assessment.findings.notes.items() if notes}
    keys = pd.MultiIndex.from_frame(cards[["date", "session"]])
    clear = np.array([key not in doubtful for key in keys], dtype=bool)
    return cards[clear].reset_index(drop=True)


def half_within(distances_: Floats) -> float:
    """Return the distance within which half of the dots lie."""
    return float(np.median(np.abs(distances_)))


def average(distances_: Floats) -> float:
    """Return the mean distance; it moves where a median or quartile of whole marks would stick."""
    return float(np.abs(distances_).mean())


def weeks(assessment: Assessment, session: Session) -> Weeks | None:
    """Return the dots of week 1 and of a session's week, or None where either is too thin or too near."""
    cards = distances(assessment)
    if cards.empty:
        return None
    first = _monday(min(cards["date"]))
    this = _monday(session.date)
    if (this - first).days < WEEKS_APART:
        return None
    mondays = cards["date"].map(_monday)
    upto = (cards["date"] <= session.date).to_numpy(bool)
    then = cards.loc[mondays == first, "from_middle"].to_numpy(np.float64)
    now = cards.loc[(mondays == this).to_numpy(bool) & upto, "from_middle"].to_numpy(np.float64)
    if min(then.size, now.size) < FEWEST_OF_WEEK:
        return None
    return Weeks(_sorted(then), _sorted(now), average(then), average(now))


def _monday(date: dt.date) -> dt.date:
    return date - dt.timedelta(days=date.weekday())


def _sorted(values: Floats) -> tuple[float, ...]:
    return tuple(float(v) for v in np.sort(values))
