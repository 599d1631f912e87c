"""What every lesson is made of: a guess, a picture, a number, and something to talk about."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt
from markupsafe import Markup

from station.assess import Assessment
from station.views import phrases
from station.views.web.together.lessons.eye import Eye

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Scene:
    """One lesson: ``ask`` before the picture, ``see`` with it, ``numbers`` after it, ``more`` to talk about.

    ``what`` says which cards it is drawn from; ``eye`` holds what a page needs to let the eye be moved.
    """

    ask: str
    picture: Markup
    see: str
    numbers: tuple[str, ...]
    more: tuple[str, ...]
    what: str
    eye: Eye | None = None


@dataclass(frozen=True)
class Needs:
    """What a class must still gather before a lesson can be drawn from its own cards."""

    what: str


@dataclass(frozen=True)
class Unit:
    """The degrees of the class's scale: how many to one degC, the value of a mark, and their sign."""

    factor: float
    mark: float
    sign: str
    zero: float = field(default=0.0)

    @classmethod
    def of(cls, assessment: Assessment) -> Unit:
        """Return the unit the class writes its value in."""
        box = assessment.settings.box
        if assessment.settings.school.class_scale == "fahrenheit":
            return cls(1.8, box.fahrenheit_division, "°F", 32.0)
        return cls(1.0, box.celsius_division, "°C")

    def apart(self, value: float, digits: int = 1) -> str:
        """Return the size of a difference with its unit."""
        return f"{phrases.number(abs(value), digits)}{phrases.NARROW}{self.sign}"

    def lean(self, value: float) -> str:
        """Return a difference with its sign and unit."""
        return f"{phrases.number(value, 1, signed=True)}{phrases.NARROW}{self.sign}"

    def reads(self, value: float) -> str:
        """Return a value on the scale with its unit; whole numbers stay whole."""
        digits = 0 if abs(value - round(value)) < 1e-6 else 1
        return f"{phrases.number(value, digits)}{phrases.NARROW}{self.sign}"


def quartiles(values: Floats) -> tuple[float, float]:
    """Return the ends of the middle half."""
    low, high = np.quantile(values, [0.25, 0.75])
    return float(low), float(high)


def as_dots(values: Floats) -> tuple[float, ...]:
    """Return values in their own order of size, so that nothing else can be read from it."""
    return tuple(float(v) for v in np.sort(values))
