"""Every key of station.toml in one table: what it holds, unit, default, and why that default.

The reader checks files against this table, and documentation is printed from it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from station.comparison import band

Kind = Literal[
    "text", "label", "number", "value", "difference", "latitude", "longitude", "zone",
    "date", "clock", "dates", "weekdays", "hours", "choice",
]  # fmt: skip


@dataclass(frozen=True)
class Key:
    """One key: ``section`` and ``name`` as in the file, ``field`` of the dataclass that holds it.

    ``default`` is shown as a person would write it, ``-`` where there is none; ``reason`` says where the
    default comes from. ``low`` and ``high`` are the least and the greatest value that can be meant;
    ``positive`` excludes 0 itself. ``value`` is a temperature, ``difference`` a difference of temperatures:
    both are degC where no unit is written.
    """

    section: str
    name: str
    field: str
    kind: Kind
    unit: str
    default: str
    reason: str
    low: float = float("-inf")
    high: float = float("inf")
    positive: bool = False
    choices: tuple[str, ...] = ()


def _positive(
    section: str, name: str, field: str, kind: Kind, unit: str, default: str, reason: str, high: float
) -> Key:
    return Key(section, name, field, kind, unit, default, reason, low=0.0, high=high, positive=True)


_PRINTED = "printed on the thermometer; common practice for school thermometers"

KEYS: tuple[Key, ...] = (
    Key("site", "name", "name", "text", "", '"the place"', "only shown"),
    Key("site", "latitude", "latitude", "latitude", "degrees north", "-",
        "without it the sun is not computed", -90, 90),
    Key("site", "longitude", "longitude", "longitude", "degrees east", "-",
        "without it the sun is not computed", -180, 180),
    Key("site", "elevation", "elevation_m", "number", "m", "0",
        "changes the sun by less than the doubt", -430, 9000),
    Key("site", "timezone", "zone", "zone", "", "-", "required: session times are local"),
    Key("school", "first", "first", "date", "", "-", "without it every recorded day counts"),
    Key("school", "last", "last", "date", "", "-", "without it every recorded day counts"),
    Key("school", "weekdays", "weekdays", "weekdays", "", '["mon", "tue", "wed", "thu", "fri"]',
        "common practice"),
    Key("school", "day", "day", "hours", "local time", '{ start = "08:15", end = "15:15" }',
        "common practice"),
    Key("school", "closed", "closed", "dates", "", "[]", "the teacher's list of days off"),
    Key("school", "class_scale", "class_scale", "choice", "", '"celsius"',
        "the scale of the class's own value",
        choices=("celsius", "fahrenheit", "both")),
    Key("school", "class_rule", "class_rule", "choice", "", '"most common"', "the reading most teams wrote",
        choices=("most common", "median", "mean")),
    Key("probe", "name", "name", "text", "", '"probe"', "only shown"),
    Key("probe", "role", "role", "choice", "", '"place"',
        "[probes.<name>]: \"candidate\", another place being tried",
        choices=("place", "open", "candidate")),
    _positive("probe", "accuracy", "accuracy_c", "difference", "degC", "0.5",
              "half-width of the maker's limits; what makers of cheap digital sensors state", 20),
    _positive("probe", "resolution", "resolution_c", "difference", "degC", "0.0625",
              "one step; twelve bits over the usual range of a digital sensor", 5),
    Key("probe", "correction", "correction_c", "difference", "degC", "0",
        "added to every indication; 0 until checked",
        -20, 20),
    Key("probe", "correction_uncertainty", "u_correction_c", "difference", "degC", "-",
        "standard uncertainty of the correction; without it the maker's limits apply in full", 0, 20),
    _positive("probe", "time_constant", "time_constant_s", "number", "s", "60",
        "a small probe in slow air; estimate", 3600),
    Key("sessions", "indoor", "indoor_c", "value", "degC", "20.5",
        "a heated classroom; common practice", -20, 45),
    Key("sessions", "thermometers", "thermometers", "choice", "", '"carried"', "how they reach the place",
        choices=("carried", "waiting outside")),
    Key("part", "start", "start", "clock", "local time", "-", "required in each part of the day"),
    _positive("part", "minutes", "minutes", "number", "min", "15",
        "time in which all teams read; common practice", 240),
    Key("teams", "name", "name", "label", "", "-", "required: a label, never a person"),
    Key("box", "number", "number", "label", "", "-", "only in [[thermometers]], required there"),
    _positive("box", "celsius_division", "celsius_division", "number", "degC", "1", _PRINTED, 10),
    _positive("box", "fahrenheit_division", "fahrenheit_division", "number", "degF", "2", _PRINTED, 20),
    _positive("box", "celsius_numbered", "celsius_numbered", "number", "degC", "10", _PRINTED, 50),
    _positive("box", "fahrenheit_numbered", "fahrenheit_numbered", "number", "degF", "20", _PRINTED, 100),
    Key("box", "liquid", "liquid", "text", "", '"spirit"', "the only liquid fit for a school"),
    Key("box", "lowest", "lowest_c", "value", "degC", "-30", _PRINTED, -200, 200),
    Key("box", "highest", "highest_c", "value", "degC", "50", _PRINTED, -200, 400),
    Key("box", "scale", "scale", "choice", "", '"behind"',
        "side of the liquid with the marks; decides which way a low "
        "eye reads", choices=("behind", "front")),
    _positive("box", "time_constant", "time_constant_s", "number", "s", "75",
        "a spirit bulb in slow air; estimate", 3600),
    _positive("box", "accuracy", "accuracy_c", "difference", "degC", "-",
              "a band the teacher states; without it the band table is entered", 20),
    Key("box", "band", "band", "choice", "", "-", "a key of the band table; instead of accuracy",
        choices=tuple(band.KEYS)),
    Key("thermometers", "retired", "retired", "date", "", "-", "not used from this day on"),
    Key("clock", "from", "first", "date", "", "-", "required: first local date of the stamps"),
    Key("clock", "to", "last", "date", "", "-", "required: last local date"),
    Key("clock", "shift_minutes", "shift_minutes", "number", "min", "-",
        "required: added to the stamps", -1440, 1440),
)  # fmt: skip


def of(*sections: str) -> dict[str, Key]:
    """Return the keys of some sections by their name in the file."""
    return {key.name: key for key in KEYS if key.section in sections}
