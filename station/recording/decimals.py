"""Thousands of written numbers at once: plain decimals from bytes, exactly as one by one."""

from __future__ import annotations

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Places = NDArray[np.int64]

_WIDEST = 15  # characters of a number: fifteen digits are exact in a double
_POWERS = 10.0 ** np.arange(_WIDEST + 1)


def without_unit(raw: NDArray[np.uint8], first: Places, stop: Places, unit: str) -> Places:
    """Return where values end before their unit: its letter, a degree sign in UTF-8 or Latin-1, one space."""

    def trimmed(stop: Places, letter: int, here: NDArray[np.bool_]) -> tuple[Places, NDArray[np.bool_]]:
        found = here & (raw[stop - 1] == letter) & (first < stop)
        return stop - found, found

    stop, lettered = trimmed(stop, ord(unit), np.ones(len(stop), np.bool_))
    if lettered.any():
        stop, degree = trimmed(stop, 0xB0, lettered)
        stop, _ = trimmed(stop, 0xC2, degree)
        stop, _ = trimmed(stop, ord(" "), lettered)
    return stop


def decimals(raw: NDArray[np.uint8], first: Places, stop: Places) -> tuple[Floats, NDArray[np.bool_]]:
    """Read plain decimal numbers of up to fifteen characters, exactly as ``float`` would.

    The digits as a whole number and the power of ten are both exact in a double, so that their one division
    rounds as IEEE 754 says.
    """
    length = stop - first
    ok = (length > 0) & (length <= _WIDEST)
    letters = sliding_window_view(raw, _WIDEST)[first]
    negative = letters[:, 0] == 45
    whole, places = np.zeros(len(first), np.int64), np.zeros(len(first), np.int64)
    digits, point = np.zeros(len(first), np.int64), np.zeros(len(first), np.bool_)
    for place in range(min(int(length.max(initial=0)), _WIDEST)):
        letter, here = letters[:, place], place < length
        digit = letter - np.uint8(48)  # wraps round below "0", so that one comparison is enough
        is_digit = (digit < 10) & here
        is_point = ((letter == 46) | (letter == 44)) & here
        whole = np.where(is_digit, whole * 10 + digit, whole)
        digits += is_digit
        places += is_digit & point
        ok &= ~here | is_digit | (is_point & ~point) | (negative if place == 0 else False)
        point |= is_point
    ok &= digits > 0
    value = whole / _POWERS[places]
    return np.where(negative, -value, value), ok
