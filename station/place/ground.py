"""Everything that stays the same while a record is read again and again: grid, sky, levels, hints."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from station.place import background
from station.place.chain import LEVELS
from station.place.days import Days, lay_out
from station.place.hints import Beside, shadow_evidence, sketch_prior
from station.place.openings import Path
from station.record.model import Site

Array = NDArray[np.float64]

#: A probe said to stand in the open is so.
IN_THE_OPEN = 0.97
#: Evidence fades over this change of the noon elevation [degrees] (tuned).
REACH_DEG = 4.0
#: What a probe in the open tells of the sun is trusted within these chances (tuned); cloud reaches two probes
#: this far apart, by their lags [min].
TOLD, OTHER_LAG_MIN = (0.05, 0.90), 2.0


#: The air under a sunny stretch is drawn between shaded minutes, the nearest counting most [min]; it wanders
#: this much between them [degC2 a minute], besides its eddies [degC]; minutes that count as one look (tuned).
BRIDGE_MIN, WANDER_C2_MIN, BRIDGE_C, BRIDGE_LOOK_MIN = 8.0, 0.015, 0.35, 8.0


#: So near to a window [min] the record is as restless as within (its edges come off a little; common sense).
NEXT_TO_MIN = 6.0


@dataclass(frozen=True)
class Trust:
    """How far the level of the record above another series is trusted.

    ``scatter_c``: of the difference in shade; ``look_min``: minutes that count as one look, because the
    difference wanders slowly; ``standing_c``: scatter of the standing offset between the two places.
    """

    scatter_c: float
    look_min: float
    standing_c: float


#: What the sun has warmed around the probe glows on: this share of the excess of the last minutes, with this
#: scatter (a wall or paving takes tens of minutes to warm and cool; tuned).
GLOW, GLOW_SCATTER, GLOW_MIN = 0.12, 0.08, 20.0


#: Tuned on seeds apart: against the region's hourly series, a usual day, a shaded probe nearby.
REGION, USUAL, NEARBY = Trust(1.3, 40.0, 1.2), Trust(3.5, 60.0, 0.01), Trust(0.7, 20.0, 0.6)

#: A place swings by day more or less than its region by such a share (common practice).
SWING = 0.15


@dataclass(frozen=True)
class Look:
    """A level above another series; ``swing``: that series less each day's mean; degC, on the whole grid.

    Without ``swing`` the two places swing alike.
    """

    above: Array
    trust: Trust
    swing: Array | None = None


@dataclass(frozen=True)
class Ground:
    """What is known before the sun is sought; arrays (d, m) on the columns from ``first``, if not said else.

    ``days``: the whole grid; ``up``: the sun is up; ``seen``: and something was recorded;
    ``sky``: chance by row that the sun was out, shape (d,); ``out``: the same by cell; ``told``: a probe in
    the open saw it; ``calm``: mean step of the record in the dark, NaN where that isn't known [degC];
    ``noise_limit``: most scatter of the shaded record's steps [degC]; ``prior``: chance of an open sky;
    ``looks``: levels above other series; ``shadows``: log evidence from shadows seen, on
    the whole grid; ``between``: how much row j tells about row i, zero on the diagonal;
    ``indoor_c``: the school's rooms [degC].
    """

    days: Days
    first: int
    celsius: Array
    path: Path
    up: NDArray[np.bool_]
    seen: NDArray[np.bool_]
    sky: Array
    out: Array
    told: NDArray[np.bool_]
    calm: float
    noise_limit: float
    prior: Array
    looks: tuple[Look, ...]
    shadows: Array | None
    between: Array
    indoor_c: float

    @property
    def regional(self) -> bool:
        """Whether a region's series stands beside the record."""
        return any(look.trust is REGION for look in self.looks)

    @property
    def told_out(self) -> Array | None:
        """The chance by cell that the sun was out if a probe in the open told of any, else None."""
        return self.out if self.told.any() else None

    def by_itself(self, shaded: NDArray[np.bool_]) -> Array:
        """Return log evidence of each state of the chain from levels and shadows, shape (d, m, states).

        ``shaded`` marks on the whole grid where the probe is held to be unlit: offsets rest on it.
        """
        part = slice(self.first, self.first + self.celsius.shape[1])
        total = np.zeros((*self.celsius.shape, 1 + 2 * len(LEVELS)))
        for look in self.looks:
            own = look.above - _standing(look, shaded, self.days.step)
            total += _level_evidence(own[:, part], look.trust, self.days.step)
        if self.shadows is not None:
            total[:, :, 1:] += self.shadows[:, part, None]
        return total

    def by_the_shade(self, shaded: NDArray[np.bool_], excess: Array, gust: float) -> Array:
        """Return log evidence of each state from the record's height over its own shaded minutes.

        Parameters
        ----------
        shaded
            Where the probe is held to be unlit, shape (d, m) of the columns from ``first``.
        excess
            What the chain held the excess to be so far, degC, same shape.
        gust
            Scatter of a lit probe as a share of its excess.
        """
        glow = _faded(excess, self.days.step)
        total = np.zeros((*self.celsius.shape, 1 + 2 * len(LEVELS)))
        steps = np.concatenate([[0.0], LEVELS])
        for row, y in enumerate(self.celsius):
            air, spread2 = _bridge(y, shaded[row] & np.isfinite(y), self.days.step)
            after = glow[row, :, None]
            scale2 = spread2[:, None] + (2 * gust * steps) ** 2 + (GLOW_SCATTER * after) ** 2
            z2 = np.nan_to_num((y - air)[:, None] - GLOW * after - steps) ** 2 / scale2
            full = (-2.5 * np.log1p(z2 / 4) - 0.5 * np.log(scale2)) * self.days.step / BRIDGE_LOOK_MIN
            full = np.where(np.isfinite(y)[:, None], full, 0.0)
            total[row] = np.concatenate([full, 0.5 * (full[:, :1] + full[:, 1:])], axis=1)
        return total

    def around(self, windows: NDArray[np.bool_]) -> tuple[float, float]:
        """Return the windows' share of the recorded daylight, and how restless it is outside of them, degC.

        ``windows`` has shape (d, m) of the columns from ``first``. The most restless day counts, over what
        the shade may show.
        """
        inside = background.box(windows.astype(np.float64), round(NEXT_TO_MIN / self.days.step)) > 0.5
        light = self.seen & (self.path.elevation > background.LOW_DEG)
        outside = np.ones(self.days.celsius.shape, bool)
        outside[:, self.first : self.first + windows.shape[1]] = ~inside
        share = float((light & inside).sum() / max(light.sum(), 1))
        return share, background.restless_beyond_shade(self.days, self.calm, outside)

    def without(self, excess: Array) -> Ground:
        """Return this with each day's sky judged by the air alone: the record less ``excess``, (d, m), degC.

        The sun's warmth would make a day on which a window is open look clearer than one on which it is shut.
        """
        celsius = self.days.celsius.copy()
        celsius[:, self.first : self.first + excess.shape[1]] -= excess
        sky = background.clear_days(replace(self.days, celsius=celsius))
        out = np.repeat(sky[:, None], excess.shape[1], axis=1)
        return replace(self, sky=sky, out=np.where(self.told, self.out, out))

    def warmth(self, shaded: NDArray[np.bool_]) -> Array:
        """Return the record above the best series there is, less its standing offset, degC, shape (d, m)."""
        part = slice(self.first, self.first + self.celsius.shape[1])
        found = np.full(self.celsius.shape, np.nan)
        for look in sorted(self.looks, key=lambda look: look.trust.scatter_c):
            own = (look.above - _standing(look, shaded, self.days.step))[:, part]
            found = np.where(np.isfinite(found), found, own)
        return found


def prepare(
    samples: pd.DataFrame,
    site: Site,
    weather: pd.DataFrame | None,
    notes: pd.DataFrame | None,
    sketch: pd.DataFrame | None,
    beside: Callable[[Days], Beside] | None,
    in_the_open: bool,
    indoor_c: float,
) -> Ground:
    """Lay a record out; parameters as for ``exposure.expose``."""
    days = lay_out(samples, site)
    light = np.flatnonzero((days.elevation > -2).any(axis=0))
    first, end = max(int(light[0]) - 10, 0), min(int(light[-1]) + 10, days.celsius.shape[1])
    part = slice(first, end)
    celsius, elevation = days.celsius[:, part], days.elevation[:, part]
    region = None if weather is None else background.regional_level(days, weather)
    sky = background.clear_days(days)
    looks = [
        Look(background.typical_level(days), USUAL)
        if region is None
        else Look(region, REGION, _without_mean(days.celsius - region))
    ]
    out = np.repeat(sky[:, None], celsius.shape[1], axis=1)
    told = np.zeros(out.shape, bool)
    if beside is not None:
        other = beside(days)
        looks.append(Look(other.above, NEARBY))
        known = _around(other.out[:, part], round(OTHER_LAG_MIN / days.step))
        told = np.isfinite(known)
        out = np.where(told, np.clip(known, *TOLD), out)
    open_ = sketch_prior(days.azimuth[:, part], elevation, sketch)
    noon = elevation.max(axis=1)
    between = np.exp(-np.abs(noon[:, None] - noon[None, :]) / REACH_DEG)
    np.fill_diagonal(between, 0.0)
    up = elevation > 0.3
    calm = background.calm_step(days)
    return Ground(
        days=days,
        first=first,
        celsius=celsius,
        path=Path.of(days.azimuth[:, part], elevation),
        up=up,
        seen=np.isfinite(celsius) & up,
        sky=sky,
        out=out,
        told=told,
        calm=calm,
        noise_limit=background.noise_limit(calm),
        prior=np.full(open_.shape, IN_THE_OPEN) if in_the_open else open_,
        looks=tuple(looks),
        shadows=shadow_evidence(days, notes),
        between=between,
        indoor_c=indoor_c,
    )


def _faded(excess: Array, step: int) -> Array:
    """Return the mean of what went before each cell, the nearest ``GLOW_MIN`` counting most, shape (d, m)."""
    keep = np.exp(-step / GLOW_MIN)
    found = np.zeros_like(excess)
    for j in range(1, excess.shape[1]):
        found[:, j] = keep * found[:, j - 1] + (1 - keep) * excess[:, j - 1]
    return found


def _around(values: Array, half: int) -> Array:
    """Return means over ``2 * half + 1`` columns of what is known, NaN where the middle one isn't."""
    known = np.isfinite(values)
    mean = background.box(np.nan_to_num(values), half) / np.maximum(background.box(known * 1.0, half), 1)
    return np.where(known, mean, np.nan)


def _bridge(y: Array, known: NDArray[np.bool_], step: int) -> tuple[Array, Array]:
    """Return the air under a record, drawn between its shaded minutes, and its variance, shape (m,)."""
    m = len(y)
    values, far = np.full((2, m), np.nan), np.full((2, m), np.inf)
    keep = np.exp(-step / BRIDGE_MIN)
    for side, order in enumerate((range(m), range(m - 1, -1, -1))):
        mean = worth = 0.0
        last = -1
        for i in order:
            if last >= 0:
                values[side, i], far[side, i] = mean / worth, abs(i - last) * step
            if known[i]:
                mean, worth, last = keep * mean + y[i], keep * worth + 1, i
    tight = WANDER_C2_MIN * np.where(np.isfinite(far), far, 1e6) + 0.01
    weight = 1 / tight
    air = np.nansum(np.nan_to_num(values) * weight, axis=0) / weight.sum(axis=0)
    return air, BRIDGE_C**2 + 1 / weight.sum(axis=0)


def _level_evidence(above: Array, trust: Trust, step: int) -> Array:
    """Return log evidence of none, each level and half level; Student's t, four degrees of freedom."""
    steps = np.concatenate([[0.0], LEVELS])
    z = np.nan_to_num((above[:, :, None] - steps) / trust.scatter_c)
    full = -2.5 * np.log1p(z**2 / 4) * step / trust.look_min
    return np.concatenate([full, 0.5 * (full[:, :, :1] + full[:, :, 1:])], axis=2)


def _standing(look: Look, shaded: NDArray[np.bool_], step: int) -> Array:
    """Return what stands between the two places in the shade, degC, shape (d, m).

    Each row's offset is the median of its shaded cells, drawn to zero where they are few; beside it stands
    the share, the same on all days, by which the place swings more than the other series.
    """
    known, trust = shaded & np.isfinite(look.above), look.trust
    beside = np.zeros(look.above.shape)
    if look.swing is not None:
        x, y = (_without_mean(np.where(known, values, np.nan)) for values in (look.swing, look.above))
        square, both = float(np.nansum(x * x)), float(np.nansum(x * y))
        # Least squares, the share drawn to nothing by its prior; minutes of one look count as one.
        prior = (trust.scatter_c / SWING) ** 2 * trust.look_min / step
        beside = both / (square + prior) * np.nan_to_num(look.swing)
    own = look.above - beside
    offset = np.zeros(len(own))
    for row in range(len(own)):
        hours = float(known[row].sum()) * step / 60
        if hours:
            offset[row] = np.median(own[row][known[row]]) * hours / (hours + 1 / trust.standing_c**2)
    return offset[:, None] + beside


def _without_mean(values: Array) -> Array:
    """Return values less each row's mean of what is known, NaN where it isn't."""
    known = np.isfinite(values)
    total = np.where(known, values, 0.0).sum(axis=1, keepdims=True)
    return np.asarray(values - total / np.maximum(known.sum(axis=1, keepdims=True), 1))
