"""Shaded, sunlit or undecided, with reasons and what would settle it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy.special import betainc

from station.place import faint
from station.place.background import box, calm_step, running_median
from station.place.days import school_days, school_hours
from station.place.exposure import Exposure
from station.place.hints import ANSWERS
from station.record.model import School, Site

Array = NDArray[np.float64]
Answer = Literal["shaded", "sunlit", "undecided"]

#: Sunlit is a degree or more for ten minutes or more in school hours on half the clear days.
EXCESS_C, LONG_ENOUGH_MIN, SHARE = 1.0, 10.0, 0.5
#: From this much above that degree on the excess surely is the sun's and no eddy's [degC] (tuned).
SURELY_C = 0.5
#: A window has to be the sun's with this chance before the place is called sunlit (tuned).
SURE = 0.65
#: No ten minutes of school hours may be open with more than this chance before it is called shaded (tuned;
#: 0.08 leaves 1.3 in a hundred more shaded tuning places undecided, most with a door, and one of 1,500 lit).
SHUT = 0.12
#: And for most of them the clear days must have spoken: less than this chance is left (tuned; one clear day
#: of a calm probe leaves 0.011).
KNOWN = 0.0115
#: Nor may the whole day be open with more than this chance, and one day has to be nearly as likely clear as
#: not (tuned with the above and the second look, on places apart).
WHOLE_DAY, ONE_CLEAR = 0.04, 0.4
#: So low the sun hardly warms by a degree (clear beam under 100 W/m2).
TOO_LOW_DEG = 2.0
#: A window less likely the sun's than this is a door's: it hides at most its own minutes, and does not forbid
#: "shaded" by itself (tuned).
DOOR = 0.25
#: Nor may the clearest days, each read by itself, show so much sun beside the openings, on the average, with
#: the power of their chance to be clear for a weight [min]: one clear day among dull ones has to be believed
#: where the map of the sky, to which rather clear ones tell otherwise, does not (tuned).
BY_ITSELF_MIN, CLEAREST = 6.0, 4
#: A cell counts for that from this chance on: what a record says nothing of keeps about 0.07 (tuned).
TELLS = 0.2
#: Shadows seen forbid "shaded" where mistaken answers would give so many less often than this: one time in
#: twenty (common practice).
MISTAKEN = 0.05


@dataclass(frozen=True)
class Verdict:
    """The answer and what it rests on.

    ``share``: expected share of school days that a clear sky would make sunlit; ``doubt``: the largest chance
    that ten minutes of school hours are open unseen; ``clear_days``: sum of the days' chances to be clear;
    ``unexplained``: the days together, the clearest by themselves, one restless day, or shadows hint at sun
    that no window explains; ``shadows``: how often a shadow was seen in school hours, where that alone
    forbids "shaded".
    """

    answer: Answer
    share: float
    doubt: float
    clear_days: float
    unexplained: bool = False
    shadows: int = 0


def judge(
    found: Exposure, excess: dict[int, float], site: Site, school: School, notes: pd.DataFrame | None = None
) -> Verdict:
    """Judge a place.

    Parameters
    ----------
    found
        What the record says.
    excess
        Typical excess of each opening [degC], by its index.
    site, school
        The clock and the school hours.
    notes
        Shadows seen at the place: ``time, shadow``; None for no notes.
    """
    m = found.lit.shape[1]
    hours = school_hours(found.days, site, school)[:, found.first : found.first + m]
    rows = np.asarray(hours.any(axis=1))
    clear_days = float(found.sky[rows].sum())
    if not rows.any():
        return Verdict("undecided", 0.0, 1.0, clear_days)
    around = round(10 / found.days.step)
    need = LONG_ENOUGH_MIN / found.days.step
    lit_days = np.zeros(len(found.sky))
    possible = np.zeros(len(found.sky))
    for index, opening in enumerate(found.openings):
        minutes = (opening.seen_inside(found.path) * hours).sum(axis=1)
        enough = np.clip((minutes - 0.5 * need) / (0.5 * need), 0, 1)
        warm = float(np.clip((excess.get(index, 0.0) - EXCESS_C) / SURELY_C, 0, 1))
        if opening.real > 0.5:  # what is likelier a door's makes no place sunlit
            lit_days = np.maximum(lit_days, enough * opening.real * warm)
        possible = np.maximum(possible, enough * opening.real)
    share = float(lit_days[rows].mean())
    asked = hours & (found.path.elevation > TOO_LOW_DEG)
    for window in [*(o.window for o in found.openings if o.real < DOOR), *found.doors]:
        for row, (a, b) in window.rows.items():
            asked[row, max(a - around, 0) : b + around] = False
    # The median, so that a few minutes of a door don't make ten.
    half = round(0.5 * LONG_ENOUGH_MIN / found.days.step)
    ten = running_median(np.where(asked, found.pooled, 0.0), half)
    by_time = ten[rows].mean(axis=0)[hours[rows].mean(axis=0) > 0.5]
    most = float(np.quantile(by_time, 0.98))
    shut = most <= SHUT and found.all_day <= WHOLE_DAY
    known = float(np.quantile(by_time, 0.8)) <= KNOWN and float(found.sky[rows].max()) >= ONE_CLEAR
    explained = [o.inside(found.path) > 0.1 for o in found.openings if o.real > 0.5]
    near = box(np.any([np.zeros(hours.shape, bool), *explained], axis=0).astype(float), around) > 0
    y = np.where(near, np.nan, found.days.celsius[:, found.first : found.first + m])
    bell = school_days(found.days, site, school)
    clock = found.days.clock(site)[:, 0]
    limits = faint.SCHOOL_HOURS if np.isnan(calm_step(found.days)) else faint.WHOLE_DAYS
    faintly = (
        _by_themselves(found, rows, asked & ~near, half) > BY_ITSELF_MIN
        or faint.stands_out(y, found.path, found.sky, hours, bell, clock, found.days.step, limits)
        or faint.restless(y, found.path, found.days.step) > limits.restless_c
    )
    sure = max((o.real for o in found.openings), default=0.0)
    shadows = 0
    if share >= SHARE and sure >= SURE:
        answer: Answer = "sunlit"
    elif known and shut and possible[rows].mean() < DOOR and not faintly:
        shadows = _seen(notes, site, school)
        answer = "undecided" if shadows else "shaded"
    else:
        answer = "undecided"
    return Verdict(answer, share, max(most, found.all_day), clear_days, faintly or shadows > 0, shadows)


def _by_themselves(found: Exposure, rows: NDArray[np.bool_], asked: NDArray[np.bool_], half: int) -> float:
    """Return how much sun the clearest of some days read by themselves in the cells asked, minutes a day.

    ``rows`` has shape (d,), ``asked`` (d, m); ``half`` is five minutes in columns. A record sparser than ten
    minutes does not show them: none.
    """
    if found.days.step > LONG_ENOUGH_MIN:
        return 0.0
    alone = running_median(np.where(asked, found.alone, 0.0), half)
    minutes = np.where(alone > TELLS, alone, 0.0).sum(axis=1) * found.days.step
    return float(np.average(minutes[rows], weights=found.sky[rows] ** CLEAREST))


def _seen(notes: pd.DataFrame | None, site: Site, school: School) -> int:
    """Return how often a shadow was seen in school hours, or 0 where mistaken answers may explain it.

    The record can't: a sun all day in still air looks like a warm day.
    """
    if notes is None:
        return 0
    notes = notes.dropna(subset="time")
    local = notes["time"].dt.tz_convert(site.zone)
    hours = [school.open_on(t.date()) and school.day_start <= t.time() <= school.day_end for t in local]
    answers = notes["shadow"][np.array(hours, bool) & notes["shadow"].isin(list(ANSWERS)).to_numpy()]
    seen, asked = int((answers == "yes").sum()), len(answers)
    # The chance of so many or more mistaken ones: the binomial's tail (DLMF 8.17.5).
    return seen if seen and betainc(seen, asked - seen + 1, ANSWERS["yes"][1]) < MISTAKEN else 0
