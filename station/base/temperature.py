"""Temperature values and temperature differences, kept apart; the only home of pint.

A value is a point on a scale (0 degC is 32 degF); a difference is a length along it (1 degC is 1.8 degF).
pint compares a difference with a value without complaint: ``Q(5, "delta_degC") <= Q(1, "degC")`` is True
(pint 0.25), so an error of 5 degC would pass a band of 1 degC. Inside the package everything is therefore a
plain float in degC, and these functions say in their name which of the two they mean.

References
----------
NIST SP 811 (2008), B.8: t/degC = (t/degF - 32)/1.8 and T/K = t/degC + 273.15, both exact.
"""

from __future__ import annotations

import math
import re
from numbers import Real
from typing import TYPE_CHECKING, Any, Literal, TypeVar

import numpy as np
from numpy.typing import NDArray

from station.base.exceptions import BadEntry

if TYPE_CHECKING:
    from pint import Quantity

    Stated = float | str | Quantity[Any]

ZERO_CELSIUS_K = 273.15  # kelvin at 0 degC, exact by definition
ABSOLUTE_ZERO_C = -ZERO_CELSIUS_K

Numbers = TypeVar("Numbers", float, NDArray[np.float64])
Unit = Literal["degC", "degF", "K"]

#: How people write a unit after a number; compared without case, spaces and degree signs.
_WORDS: dict[str, Unit] = {
    "": "degC", "c": "degC", "degc": "degC", "celsius": "degC", "cel": "degC",
    "f": "degF", "degf": "degF", "fahrenheit": "degF",
    "k": "K", "kelvin": "K",
}  # fmt: skip
_ENTRY = re.compile(r"\s*([+-]?\d*[.,]?\d+(?:e[+-]?\d+)?|[+-]?\d+[.,])\s*(.*?)\s*", re.IGNORECASE)


def value_c_from_f(fahrenheit: Numbers) -> Numbers:
    """Return values in degC of values in degF, any shape."""
    return (fahrenheit - 32.0) * 5.0 / 9.0


def value_f_from_c(celsius: Numbers) -> Numbers:
    """Return values in degF of values in degC, any shape."""
    return celsius * 9.0 / 5.0 + 32.0


def value_c_from_k(kelvin: Numbers) -> Numbers:
    """Return values in degC of values in K, any shape."""
    return kelvin - ZERO_CELSIUS_K


def value_k_from_c(celsius: Numbers) -> Numbers:
    """Return values in K of values in degC, any shape."""
    return celsius + ZERO_CELSIUS_K


def difference_c_from_f(fahrenheit: Numbers) -> Numbers:
    """Return differences in degC of differences in degF, any shape; in kelvin they are the same."""
    return fahrenheit * 5.0 / 9.0


def difference_f_from_c(celsius: Numbers) -> Numbers:
    """Return differences in degF of differences in degC, any shape."""
    return celsius * 9.0 / 5.0


def value_c(stated: Stated) -> float:
    """Return a temperature value in degC as a person states it.

    Parameters
    ----------
    stated
        A number (degC), a text such as ``"68 degF"``, ``"20,5 °C"`` or ``"293.15 K"``, or a pint quantity.

    Raises
    ------
    BadEntry
        Not a temperature, a difference (``delta_degC``), not finite, or below absolute zero.
    """
    number, unit, kind = _read(stated)
    if kind == "difference":
        raise BadEntry(f"{stated} is a temperature difference where a temperature is meant")
    if unit == "degF":
        number = value_c_from_f(number)
    elif unit == "K":
        number = value_c_from_k(number)
    if number < ABSOLUTE_ZERO_C:
        raise BadEntry(f"{stated} is below absolute zero")
    return number


def difference_c(stated: Stated) -> float:
    """Return a temperature difference in degC as a person states it.

    Parameters
    ----------
    stated
        A number (degC), a text such as ``"0.9 degF"``, or a pint quantity in ``delta_degC``,
        ``delta_degF`` or ``kelvin``. In a text the unit alone does not say value or difference, so
        ``"0.9 degF"`` is read as the difference that this function is asked for.

    Raises
    ------
    BadEntry
        Not a temperature, a pint quantity that is a value (``degC``, ``degF``), or not finite.
    """
    number, unit, kind = _read(stated)
    if kind == "value":
        raise BadEntry(f"{stated} is a temperature where a temperature difference is meant")
    return difference_c_from_f(number) if unit == "degF" else number


def _read(stated: object) -> tuple[float, Unit, Literal["value", "difference", "either"]]:
    """Return number, unit, and what the unit says about value or difference."""
    if isinstance(stated, bool):
        raise BadEntry(f"{stated} is not a temperature")
    if isinstance(stated, Real):
        return _finite(float(stated), stated), "degC", "either"
    if isinstance(stated, str):
        return _read_text(stated)
    return _read_quantity(stated)


def _finite(number: float, stated: object) -> float:
    if not math.isfinite(number):
        raise BadEntry(f"{stated} is not a finite number")
    return number


def _read_text(text: str) -> tuple[float, Unit, Literal["difference", "either"]]:
    match = _ENTRY.fullmatch(text.replace("\N{MINUS SIGN}", "-"))
    if match is None:
        raise BadEntry(f"{text!r} is not a number with a temperature unit")
    word = re.sub(r"[\s°]|_", "", match[2]).lower()
    delta = word.startswith("delta")
    unit = _WORDS.get(word.removeprefix("delta"))
    if unit is None:
        raise BadEntry(f"{text!r} has no temperature unit that is known here (degC, degF, K)")
    number = _finite(float(match[1].replace(",", ".")), text)
    return number, unit, "difference" if delta else "either"


def _read_quantity(stated: object) -> tuple[float, Unit, Literal["value", "difference", "either"]]:
    import pint  # 0.2 s to import, and few runs are given a quantity

    if not isinstance(stated, pint.Quantity) or not stated.check("[temperature]"):
        raise BadEntry(f"{stated!r} is not a temperature")
    if not isinstance(stated.magnitude, Real):
        raise BadEntry(f"{stated!r} is not one number")
    number = _finite(float(stated.magnitude), stated)
    match str(stated.units):
        case "degree_Celsius":
            return number, "degC", "value"
        case "degree_Fahrenheit":
            return number, "degF", "value"
        case "delta_degree_Celsius":
            return number, "degC", "difference"
        case "delta_degree_Fahrenheit":
            return number, "degF", "difference"
        case _:  # kelvin and its multiples, and Rankine: pint uses them for both
            return float(stated.to("kelvin").magnitude), "K", "either"
