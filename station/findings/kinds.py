"""The closed set of causes, each with its group, and what one finding holds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

State = Literal["too early", "nothing to see", "worth a look", "clear"]

#: kind -> group. Kinds that fall on either scale take the group "celsius side" or "fahrenheit side" instead.
GROUPS: Mapping[str, str] = MappingProxyType(
    {
        "scales_swapped": "entry",
        "same_scale_twice": "entry",
        "scale_missing": "entry",
        "minus_dropped": "entry",
        "digits_transposed": "entry",
        "copied_last_session": "entry",
        "wrong_half_day": "entry",
        "wrong_date": "entry",
        "wrong_thermometer_number": "entry",
        "counted_wrong_way": "celsius side",
        "ten_off": "celsius side",
        "small_marks": "fahrenheit side",
        "converted_not_read": "habit",
        "rounded": "habit",
        "same_numbers": "sharing",
        "read_too_soon": "column",
        "bulb_warmed": "column",
        "eye_line": "column",
        "in_the_sun": "column",
        "warm_surface": "column",
        "wet_bulb": "column",
        "thermometer_offset": "thermometer",
        "scale_plate_slipped": "thermometer",
        "column_separated": "thermometer",
        "probe_fault": "probe",
        "clock_shift": "probe",
        "unexplained": "",
    }
)

#: What else gives the same picture, so that it is said beside the finding.
LOOKS_LIKE: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "same_scale_twice": ("scales_swapped",),
        "minus_dropped": ("counted_wrong_way",),
        "counted_wrong_way": ("ten_off", "minus_dropped"),
        "ten_off": ("digits_transposed",),
        "small_marks": ("scale_plate_slipped",),
        "digits_transposed": ("ten_off",),
        "wrong_half_day": ("clock_shift",),
        "wrong_date": ("unexplained",),
        "read_too_soon": ("bulb_warmed", "thermometer_offset"),
        "bulb_warmed": ("read_too_soon", "in_the_sun", "warm_surface"),
        "eye_line": ("thermometer_offset", "read_too_soon"),
        "in_the_sun": ("read_too_soon", "bulb_warmed"),
        "converted_not_read": (),
        "rounded": (),
        "thermometer_offset": ("eye_line",),
        "scale_plate_slipped": ("small_marks",),
        "column_separated": ("bulb_warmed", "in_the_sun"),
        "clock_shift": ("wrong_half_day", "probe_fault"),
    }
)


@dataclass(frozen=True)
class Finding:
    """One thing found, with its evidence.

    Attributes
    ----------
    kind, group : str
        From ``GROUPS``.
    subject : str
        Team, thermometer number, session, or "" for the class.
    state : str
        How firm it is.
    probability : float
        That it is so, given what else was considered.
    rows : tuple of int
        Positions of the readings that show it.
    looks_like : tuple of str
        Kinds that would look the same.
    more_sessions : int
        About how many more sessions would settle it; 0 where it is settled.
    size_c : float
        How large, degC, where that has a meaning; NaN otherwise.
    acted : tuple of float
        For each of ``rows`` the chance that the habit changed it; empty where it always does.
    """

    kind: str
    group: str
    subject: str
    state: State
    probability: float
    rows: tuple[int, ...] = ()
    looks_like: tuple[str, ...] = ()
    more_sessions: int = 0
    size_c: float = float("nan")
    acted: tuple[float, ...] = ()
