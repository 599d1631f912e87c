"""Accuracy bands (maximum permissible errors) of glass thermometers, as cited data with their basis.

Which band applies: one the teacher states (``accuracy_c``); else the key the teacher chose (``band``); else
the table of EO 14-1 entered by liquid, Celsius division and the range in which the indication lies.

References
----------
EO 14-1: Eichordnung (verification ordinance, Germany), Anlage 14-1, limits for liquid-in-glass thermometers,
total immersion, as makers tabulate them. Cited as limits of EO 14-1, not as law in force.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from station.base.exceptions import BadEntry
from station.record.model import Thermometer


@dataclass(frozen=True)
class Band:
    """An accuracy band: ``+-half_width_c`` degC, why this one (always printed), and the key it goes by."""

    half_width_c: float
    basis: str
    key: str


@dataclass(frozen=True)
class _Range:
    """Limits [degC] by Celsius division [degC] for indications from ``low_c``; ``low_c <= x``."""

    low_c: float
    high_c: float
    limits_c: Mapping[float, float]


#: The two ranges meet at -10 degC. Exactly -10 belongs to the warmer one, whose limits are the narrower, so
#: ranges here are closed below and open above, save the warmest, which includes its upper end.
_EO_14_1: Mapping[str, tuple[_Range, _Range]] = {
    "spirit": (
        _Range(-110.0, -10.0, {0.5: 1.0, 1.0: 2.0, 2.0: 4.0, 5.0: 5.0}),
        _Range(-10.0, 110.0, {0.5: 1.0, 1.0: 2.0, 2.0: 3.0, 5.0: 5.0}),
    ),
    "mercury": (
        _Range(-58.0, -10.0, {0.1: 0.3, 0.2: 0.4, 0.5: 0.5, 1.0: 1.0, 2.0: 2.0, 5.0: 5.0}),
        _Range(-10.0, 110.0, {0.05: 0.1, 0.1: 0.2, 0.2: 0.3, 0.5: 0.5, 1.0: 1.0, 2.0: 2.0, 5.0: 5.0}),
    ),
}

#: Which row of EO 14-1 a liquid belongs to: those that wet glass, and mercury, which doesn't.
_LIQUIDS = {
    "spirit": "spirit", "alcohol": "spirit", "ethanol": "spirit", "kerosene": "spirit", "petroleum": "spirit",
    "pentane": "spirit", "toluene": "spirit", "mercury": "mercury",
}  # fmt: skip

#: Common practice: a classroom thermometer is sold as +-1 degC or +-1 division, whichever is more. The others
#: are half and twice that.
_COMMON = {"close": 0.5, "usual": 1.0, "wide": 2.0}

#: Every key that ``band = "..."`` may name, with what it means.
KEYS: Mapping[str, str] = {
    "eo14-1": "limits of EO 14-1 by the thermometer's own liquid, division and range",
    "eo14-1 spirit": "limits of EO 14-1 for wetting liquids, by division and range",
    "eo14-1 mercury": "limits of EO 14-1 for mercury, by division and range",
    "close": "common practice: half a degree or half a division, whichever is more",
    "usual": "common practice: one degree or one division, whichever is more",
    "wide": "common practice: two degrees or two divisions, whichever is more",
}
DEFAULT_KEY = "eo14-1"
STATED = "stated"  # key of a band the teacher states


def half_widths_c(thermometer: Thermometer, celsius: ArrayLike) -> NDArray[np.float64]:
    """Return the half-width of the band [degC] at each indication, NaN where there is no band; any shape.

    Raises
    ------
    BadEntry
        The thermometer's ``band`` is no key of the table.
    """
    x = np.asarray(celsius, dtype=np.float64)
    if thermometer.accuracy_c is not None:
        return np.where(np.isnan(x), np.nan, thermometer.accuracy_c)
    key = _key(thermometer)
    if key in _COMMON:
        return np.where(np.isnan(x), np.nan, _COMMON[key] * max(1.0, thermometer.celsius_division))
    result = np.full(x.shape, np.nan)
    for limits in _EO_14_1.get(_liquid(thermometer, key), ()):
        division = _listed(limits, thermometer.celsius_division)
        if division is not None:
            inside = (limits.low_c <= x) & ((x < limits.high_c) | ((x == limits.high_c) & (x > 0)))
            result[inside] = limits.limits_c[division]
    return result


def band_for(thermometer: Thermometer, celsius: float) -> Band | None:
    """Return the band of a thermometer at an indication [degC]; ``None`` where no table covers it.

    A division that EO 14-1 doesn't list takes the limit of the next coarser one, and the basis says so.

    Raises
    ------
    BadEntry
        The thermometer's ``band`` is no key of the table.
    """
    half_width = float(half_widths_c(thermometer, celsius))
    if math.isnan(half_width):
        return None
    if thermometer.accuracy_c is not None:
        return Band(half_width, "stated by the teacher", STATED)
    key = _key(thermometer)
    if key in _COMMON:
        return Band(half_width, KEYS[key], key)
    liquid = _liquid(thermometer, key)
    limits = next(r for r in reversed(_EO_14_1[liquid]) if r.low_c <= celsius)
    listed, division = _listed(limits, thermometer.celsius_division), thermometer.celsius_division
    basis = (
        f"limits of EO 14-1, {'mercury' if liquid == 'mercury' else 'wetting liquid'}, "
        f"division {listed:g} °C, {limits.low_c:g} to {limits.high_c:g} °C, total immersion"
    )
    if listed != division:
        basis += f" (division {division:g} °C is not listed: the next coarser one)"
    return Band(half_width, basis, key)


def _key(thermometer: Thermometer) -> str:
    key = thermometer.band or DEFAULT_KEY
    if key not in KEYS:
        raise BadEntry(f'band "{key}" is not known; there are {", ".join(KEYS)}')
    return key


def _liquid(thermometer: Thermometer, key: str) -> str:
    """Return the row of EO 14-1; the thermometer's own liquid unless the key names one, "" if unknown."""
    return key.removeprefix("eo14-1").strip() or _LIQUIDS.get(thermometer.liquid.strip().lower(), "")


def _listed(limits: _Range, division: float) -> float | None:
    """Return the division of the table that a thermometer's division belongs to, if any is coarse enough."""
    return next((d for d in sorted(limits.limits_c) if division <= d * (1 + 1e-9)), None)
