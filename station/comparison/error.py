"""Error of each reading, and what a column's two scales say about each other."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt
import pandas as pd

from station.base.temperature import value_c_from_f
from station.record.model import Thermometer

Floats = npt.NDArray[np.float64]

#: Standard deviation of reading a mark, each scale by itself [degC]; invented for the simulations the limits
#: of this tool were tried on, and near what a class shows.
READING_SCATTER_C = 0.35

#: The two scales of one column disagree beyond this many standard deviations in one reading of sixty.
TWO_SCALE_FACTOR = 2.4


def indication(celsius: pd.Series, fahrenheit: pd.Series) -> pd.DataFrame:
    """Return the indication of each reading: from Celsius, from Fahrenheit where Celsius is missing.

    Returns
    -------
    DataFrame
        ``indication`` [degC] and ``scale_used`` ("celsius", "fahrenheit", missing where nothing was read).
    """
    from_f = value_c_from_f(fahrenheit.to_numpy(np.float64))
    c = celsius.to_numpy(np.float64)
    value = np.where(np.isnan(c), from_f, c)
    used = np.full(c.size, None, dtype=object)
    used[~np.isnan(from_f)] = "fahrenheit"
    used[~np.isnan(c)] = "celsius"
    return pd.DataFrame({"indication": value, "scale_used": used}, index=celsius.index)


def two_scale_difference(celsius: pd.Series, fahrenheit: pd.Series) -> pd.Series:
    """Return C - (F - 32)/1.8 [degC]: zero when both scales were read off one column."""
    return celsius - value_c_from_f(fahrenheit.to_numpy(np.float64))


def two_scale_spread(thermometer: Thermometer) -> float:
    """Return the standard deviation of the two-scale difference of a careful reading [degC].

    Two scales, each with the reading scatter and with rounding to its mark (JCGM 100:2008, 4.3.7).
    """
    c_mark = thermometer.celsius_division
    f_mark = thermometer.fahrenheit_division / 1.8
    return math.sqrt(2.0 * READING_SCATTER_C**2 + c_mark**2 / 12.0 + f_mark**2 / 12.0)


def two_scale_limit(thermometer: Thermometer) -> float:
    """Return the limit of the two-scale difference from the thermometer's marks [degC]."""
    return TWO_SCALE_FACTOR * two_scale_spread(thermometer)


def scale_differences(numbers: pd.Series, difference: pd.Series) -> pd.DataFrame:
    """Return, per thermometer number, what its two plates differ by.

    The plates are taken as slipped apart when the median of the number's two-scale differences lies beyond
    0.3 degC + 3 standard errors of a median (1.25 s / sqrt n), so that a few misread entries don't make one.

    Returns
    -------
    DataFrame
        By number: ``scale_difference`` (median [degC]), ``uses``, ``slipped`` (bool).
    """
    known = difference.notna() & (numbers != "")
    grouped = difference[known].groupby(numbers[known])
    out = pd.DataFrame({"scale_difference": grouped.median(), "uses": grouped.size()})
    limit = 0.3 + 3.0 * 1.25 * 0.6 / np.sqrt(out["uses"].to_numpy(np.float64))
    out["slipped"] = (out["scale_difference"].abs() > limit) & (out["uses"] >= 4)
    return out
