"""The class's value for a session by the class's own rule; the probe has no say in it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

#: Fewest complete rows for a class value, and smallest share of them on a most common one; rule of this tool.
FEWEST_ROWS = 6
SMALLEST_SHARE = 1.0 / 3.0


@dataclass(frozen=True)
class ClassValue:
    """What the class's rule gives in one session.

    ``value`` is None where the rule gives none; ``median`` and ``mean`` stand beside it, all in the unit of
    the class's scale; ``note`` is "few_readings", "no_agreement" or None.
    """

    value: float | None
    median: float | None
    mean: float | None
    rows: int
    note: str | None


def by_rule(values: pd.Series, rule: str, division: float) -> ClassValue:
    """Apply the class's rule to the complete, unquestioned rows of one session.

    "most common": neighbours that tie (one mark apart) go to the one nearer the median, the lower one if both
    are as near; any other tie, or a largest share under a third, is no agreement. "median" and "mean" are
    what they say, not rounded to a mark.

    Parameters
    ----------
    values : Series
        Values as written [unit of the class's scale].
    rule : {"most common", "median", "mean"}
        Of the settings.
    division : float
        One mark, same unit.
    """
    n = len(values)
    if n == 0:
        return ClassValue(None, None, None, 0, "few_readings")
    median, mean = float(values.median()), float(values.mean())
    if n < FEWEST_ROWS:
        return ClassValue(None, median, mean, n, "few_readings")
    if rule != "most common":
        return ClassValue({"median": median, "mean": mean}[rule], median, mean, n, None)
    counts = values.value_counts()
    top = np.sort(counts.index[counts == counts.max()].to_numpy(np.float64))
    if counts.max() < SMALLEST_SHARE * n or top[-1] - top[0] > division * (1.0 + 1e-9):
        return ClassValue(None, median, mean, n, "no_agreement")
    return ClassValue(float(top[np.argmin(np.abs(top - median))]), median, mean, n, None)
