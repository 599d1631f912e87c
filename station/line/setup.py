"""The set-up check of a probe: what the values of each step say; ``station.cli.setup`` asks and listens.

A step's values come as seconds and degC, in order. "Can't tell" is a result.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

from station.line import wording

#: A tip held in a hand for 20 s rises by at least this outdoors or in a classroom, degC (common practice).
HAND_RISE_C = 2.0
#: Half-width of the temperature of well-stirred crushed ice in tap water, degC (common practice).
ICE_HALF_WIDTH_C = 0.1
#: A probe further off than this in ice is no small correction: wrong unit, no ice, or a bad probe, degC.
ICE_LIMIT_C = 3.0
#: Steady means that the two halves of the last minute differ by less than this, degC.
STEADY_C = 0.15
#: How long the end of a record is looked at, s.
END_S = 60.0
#: A still bucket or room changes by less than this in ten minutes, degC.
SOAK_DRIFT_C = 0.5

Values = Sequence[tuple[float, float]]


@dataclass(frozen=True)
class Step:
    """What a step found: ``good`` None means that it cannot tell; ``reading_c`` what the probe showed."""

    good: bool | None
    words: str
    reading_c: float = math.nan


@dataclass(frozen=True)
class Correction:
    """What to add to every indication [degC], with its standard uncertainty [degC]."""

    correction_c: float
    u_c: float


def see_a_number(values: Values) -> Step:
    """Judge whether the probe gives values that can be air."""
    if not values:
        return Step(False, wording.NO_VALUE)
    last = values[-1][1]
    if not -40.0 <= last <= 45.0:
        return Step(None, wording.STRANGE.format(value=last), last)
    return Step(True, wording.SHOWS.format(value=last), last)


def warm_by_hand(before_c: float, values: Values) -> Step:
    """Judge whether the tip that somebody holds is the one on this port."""
    if not values:
        return Step(None, wording.HAND_NO_VALUE)
    highest = max(celsius for _, celsius in values)
    rise = highest - before_c
    if rise >= HAND_RISE_C:
        return Step(True, wording.HAND_ROSE.format(rise=rise), highest)
    if before_c > 28.0:
        return Step(None, wording.HAND_WARM_ALREADY.format(rise=rise), highest)
    return Step(False, wording.HAND_ONLY.format(rise=rise), highest)


def in_ice(values: Values, resolution_c: float) -> tuple[Step, Correction | None]:
    """Judge the probe in stirred crushed ice and water, and give its correction there.

    The correction is 0 degC minus the median of the last minute. Its uncertainty joins the ice (rectangular),
    one step of the probe (rectangular) and the scatter of the minute (JCGM 100:2008, 4.3.7 and 5.1.2).
    """
    end = [celsius for at, celsius in values if values and at >= values[-1][0] - END_S]
    if len(end) < 4:
        return Step(None, wording.ICE_TOO_FEW), None
    reading = median(end)
    half = len(end) // 2
    if abs(median(end[:half]) - median(end[half:])) > STEADY_C:
        return Step(None, wording.ICE_CHANGES, reading), None
    if abs(reading - 32.0) < ICE_LIMIT_C:
        return Step(False, wording.ICE_FAHRENHEIT.format(value=reading), reading), None
    if abs(reading) > ICE_LIMIT_C:
        return Step(False, wording.ICE_TOO_FAR.format(value=reading), reading), None
    scatter = 1.4826 * median(abs(celsius - reading) for celsius in end)
    u_c = math.sqrt(ICE_HALF_WIDTH_C**2 / 3.0 + resolution_c**2 / 12.0 + scatter**2 / len(end))
    words = wording.ICE_CORRECTION.format(value=reading, correction=-reading, within=2 * u_c)
    return Step(True, words, reading), Correction(-reading, u_c)


def soak(values: Values) -> Step:
    """Judge from ten minutes in one place whether the probe jumps about or drifts."""
    if len(values) < 10 or values[-1][0] - values[0][0] < 300.0:
        return Step(None, wording.SOAK_TOO_SHORT)
    numbers = [celsius for _, celsius in values]
    third = max(len(numbers) // 3, 1)
    drift = median(numbers[-third:]) - median(numbers[:third])
    jumps = sorted(abs(later - earlier) for earlier, later in pairwise(numbers))
    usual = jumps[int(0.95 * (len(jumps) - 1))]
    if usual > 0.5:
        return Step(False, wording.SOAK_JUMPS.format(jump=usual), numbers[-1])
    if abs(drift) > SOAK_DRIFT_C:
        return Step(None, wording.SOAK_MOVED.format(drift=drift), numbers[-1])
    return Step(True, wording.SOAK_STEADY.format(drift=drift, jump=usual), numbers[-1])


def with_correction(text: str, correction: Correction) -> str:
    """Return ``station.toml`` with the correction and its uncertainty in [probe]; the rest stays."""
    keys = {
        "correction": f"{correction.correction_c:.3f}",
        "correction_uncertainty": f"{correction.u_c:.3f}",
    }
    lines = text.splitlines()
    heads = [i for i, line in enumerate(lines) if line.strip().startswith("[")]
    start = next((i for i in heads if lines[i].split("#")[0].strip().replace(" ", "") == "[probe]"), None)
    if start is None:
        return "\n".join([*lines, "", "[probe]", *(f"{key} = {value}" for key, value in keys.items())]) + "\n"
    end = next((i for i in heads if i > start), len(lines))
    body = [line for line in lines[start + 1 : end] if line.split("=")[0].strip() not in keys]
    added = [f"{key} = {value}" for key, value in keys.items()]
    return "\n".join([*lines[: start + 1], *added, *body, *lines[end:]]) + "\n"
