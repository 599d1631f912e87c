"""What a line can turn out to be: a value, several candidates, or a refusal with its reason."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Generic, Literal, TypeVar

#: fault: the probe says that it has no value. unreadable: torn, noisy or damaged. not a reading: greeting,
#: header, settings. question: a person must say once which number it is. other device: does not speak as
#: the port did before.
Kind = Literal["fault", "unreadable", "not a reading", "question", "other device"]

Unit = Literal["celsius", "fahrenheit", "kelvin", "hundredths", "thousandths", ""]

Instant = TypeVar("Instant")


@dataclass(frozen=True)
class Refusal:
    """Why a line gives no value."""

    kind: Kind
    reason: str


@dataclass(frozen=True)
class Candidate:
    """One number of a line that may be the temperature: its place, value, unit and text."""

    name: str
    value: float
    unit: Unit
    text: str

    @property
    def celsius(self) -> float:
        """The value in degC; without a unit it is taken as degC."""
        return to_celsius(self.value, self.unit)


@dataclass(frozen=True)
class Parsed:
    """One line taken apart.

    ``shape`` is its skeleton, the same for all lines of one program; ``family`` says it in words;
    ``certain`` tells whether a single candidate can be taken without asking, else ``question`` is put.
    ``sensor`` is an address or index told on the line, ``uptime_s`` a counter in seconds, ``verified`` a
    checksum that fitted, ``kept`` a value stored by the probe while nobody listened.
    """

    shape: str
    family: str
    candidates: tuple[Candidate, ...]
    certain: bool = True
    question: str = ""
    sensor: str = ""
    uptime_s: float | None = None
    verified: bool = False
    kept: bool = False


@dataclass(frozen=True)
class Measured(Generic[Instant]):
    """A value read from a line, with the instant its bytes arrived."""

    received: Instant
    celsius: float
    sensor: str
    uptime_s: float | None
    kept: bool
    line: str


@dataclass(frozen=True)
class Refused(Generic[Instant]):
    """A line that gives no value, with the instant its bytes arrived."""

    received: Instant
    line: str
    kind: Kind
    reason: str


def to_celsius(value: float, unit: Unit) -> float:
    """Return a temperature in degC from ``value`` in ``unit``; no unit means degC."""
    if unit == "fahrenheit":
        return (value - 32.0) / 1.8
    if unit == "kelvin":
        return value - 273.15
    if unit == "hundredths":
        return value / 100.0
    if unit == "thousandths":
        return value / 1000.0
    return value
