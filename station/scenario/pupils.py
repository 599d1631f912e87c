"""How a pair of pupils turns a column of liquid into a card: eyes, habits, slips."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from station.record.model import Thermometer
from station.scenario.plan import Plant

#: Skin of a hand round the bulb [degC], as in the rule e ~ q (33 - R).
HAND_C = 33.0


@dataclass(frozen=True)
class Card:
    """What a pair writes: both scales and the thermometer's number; ``None`` where nothing is written."""

    celsius: float | None
    fahrenheit: float | None
    thermometer: str


@dataclass(frozen=True)
class Moment:
    """What is around a pair when it reads: air, room, minutes outdoors, sunshine (0 to 1), the tube's lag."""

    air_c: float
    indoor_c: float
    waited: float
    sunshine: float
    time_constant_s: float
    carried: bool


def column_excess(rng: np.random.Generator, plant: Plant, moment: Moment) -> float:
    """Return how far a column habit moves the apparent end of the liquid from the settled column [degC]."""
    if plant.kind == "read_too_soon":
        return 0.0  # acts through the minutes waited
    if plant.kind == "bulb_warmed":
        return min(plant.size * rng.uniform(0.6, 1.5), 0.8) * (HAND_C - moment.air_c)
    if plant.kind == "eye_line":
        return plant.size
    if plant.kind == "in_the_sun":
        return plant.size * rng.uniform(0.7, 1.3) if moment.sunshine > 0.5 else 0.0
    if plant.kind == "warm_surface":
        return plant.size * rng.uniform(0.6, 1.4)
    if plant.kind == "wet_bulb":
        return -plant.size * rng.uniform(0.6, 1.4)
    return 0.0


def unsettled(moment: Moment) -> float:
    """Return how far a column carried from the classroom still is from the air (first-order lag) [degC]."""
    if not moment.carried:
        return 0.0
    return (moment.indoor_c - moment.air_c) * float(np.exp(-60.0 * moment.waited / moment.time_constant_s))


def read_marks(
    rng: np.random.Generator,
    column_c: float,
    plate_f: float,
    scatter_c: float,
    box: Thermometer,
    half_marks: bool,
) -> tuple[float, float]:
    """Return both scales as read from one column, each by itself, to the mark or half mark."""
    celsius = column_c + scatter_c * rng.standard_normal()
    fahrenheit = 1.8 * (column_c + scatter_c * rng.standard_normal()) + 32.0 + plate_f
    part = 0.5 if half_marks else 1.0
    return _to(celsius, box.celsius_division * part), _to(fahrenheit, box.fahrenheit_division * part)


def in_manner(kind: str, card: Card) -> Card:
    """Return the card as a pair with this manner fills it in."""
    if card.celsius is None or card.fahrenheit is None:
        return card
    if kind == "converted_not_read":
        return replace(card, fahrenheit=_to(1.8 * card.celsius + 32.0, 1.0))
    if kind == "rounded":
        return replace(card, celsius=_to(card.celsius, 5.0), fahrenheit=_to(card.fahrenheit, 10.0))
    return card


def slip(
    rng: np.random.Generator, plant: Plant, card: Card, box: Thermometer, numbers: tuple[str, ...]
) -> Card:
    """Return the card after one slip; the same card where the slip changes nothing."""
    c, f = card.celsius, card.fahrenheit
    if c is None or f is None:
        return card
    if plant.kind == "scales_swapped":
        return replace(card, celsius=f, fahrenheit=c)
    if plant.kind == "same_scale_twice":
        one = c if rng.random() < 0.5 else f
        return replace(card, celsius=one, fahrenheit=one)
    if plant.kind == "scale_missing":
        return replace(card, celsius=None) if plant.scale == "celsius" else replace(card, fahrenheit=None)
    if plant.kind == "minus_dropped":
        return replace(card, celsius=abs(c))
    if plant.kind == "wrong_thermometer_number":
        others = [number for number in numbers if number != card.thermometer]
        return replace(card, thermometer=others[int(rng.integers(len(others)))])
    if plant.kind in _ON_ONE_SCALE:
        change = _ON_ONE_SCALE[plant.kind]
        if plant.scale == "celsius":
            return replace(card, celsius=change(rng, c, box.celsius_numbered))
        return replace(card, fahrenheit=change(rng, f, box.fahrenheit_numbered))
    return card


def _ten_off(rng: np.random.Generator, value: float, numbered: float) -> float:
    return value + (numbered if rng.random() < 0.5 else -numbered)


def _counted_wrong_way(rng: np.random.Generator, value: float, numbered: float) -> float:
    below = np.floor(value / numbered) * numbered
    mark = below if rng.random() < 0.7 or value == below else below + numbered
    return float(2.0 * mark - value)


def _small_marks(rng: np.random.Generator, value: float, numbered: float) -> float:
    below = np.floor(value / numbered) * numbered
    return float(below + (value - below) / 2.0)


def _transposed(rng: np.random.Generator, value: float, numbered: float) -> float:
    whole = int(abs(value))
    if not 10 <= whole <= 99:
        return value
    swapped = whole % 10 * 10 + whole // 10
    return float(swapped if value >= 0 else -swapped)


_ON_ONE_SCALE: dict[str, Callable[[np.random.Generator, float, float], float]] = {
    "ten_off": _ten_off,
    "counted_wrong_way": _counted_wrong_way,
    "small_marks": _small_marks,
    "digits_transposed": _transposed,
}


def _to(value: float, step: float) -> float:
    """Round to the nearest multiple of ``step``; never a negative zero."""
    return float(np.rint(value / step) * step) + 0.0
