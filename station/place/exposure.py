"""Exposure: when the sun reached the probe, day by day, and through which recurring windows.

Two views take turns. The chain reads each day by itself, given what other days say of that part of the sky;
the map gathers what the days say, with cloud as a hidden state: a day without sun speaks against an opening
only as far as the sun was out.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import product

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from station.place import background, chain
from station.place.background import box
from station.place.days import Days
from station.place.gaps import gaps
from station.place.ground import Ground, prepare
from station.place.heights import find_bounds
from station.place.hints import Beside
from station.place.openings import Path
from station.place.reading import Reading, chance, log_odds, read
from station.place.recurring import WHOLE, Opening, draw_openings, hinted_doors
from station.place.skymap import carry
from station.place.windows import Window
from station.record.model import School, Site

Array = NDArray[np.float64]

#: How often the two views take turns before the openings are drawn.
ROUNDS = 4
#: Within an opening the record is the shade's air at last where so long before and after hardly a moment of
#: sun was read [min], or in a gap so likely dark: a thin cloud leaves a strong sun a degree or two, and would
#: pass for air (tuned; 10 and 30 minutes do as well, and 0.04; gaps from 0.5 to 0.99 likely score alike, but
#: at 0.9 some that leaves let a little light through are lost).
CLOUDED_MIN, HARDLY_MIN, SURELY_DARK = 15.0, 0.1, 0.8
#: The chance of an open cell outside and inside the openings that were found.
STRAY, SURE = 0.002, 0.97


@dataclass(frozen=True)
class Exposure:
    """What the record says of the sun, on the columns of ``days`` from ``first``, shapes (d, m).

    ``lit``: probability that sun warms the probe by about a degree or more; ``open``: that the cell lies
    in an opening, clouds and gaps apart; ``level``: expected excess where lit [degC]; ``warmth``: the
    record above the region's or a usual day's air [degC]; ``evidence``: log evidence for an open sky;
    ``pooled``: its chance by all days, without the openings' lines; ``doors``: windows beside the
    openings that a door made; ``gaps``: chance that a cell of an opening is dark; ``alone``: ``lit`` as
    each day reads by itself, without the others; ``all_day``: chance that nothing shades the place;
    ``sky``: chance by row that the sun was out, from the day's air, shape (d,).
    """

    days: Days
    first: int
    lit: Array
    open: Array
    level: Array
    warmth: Array
    evidence: Array
    pooled: Array
    sky: Array
    openings: tuple[Opening, ...]
    doors: tuple[Window, ...]
    gaps: Array
    alone: Array
    all_day: float
    path: Path


def expose(
    samples: pd.DataFrame,
    site: Site,
    school: School | None = None,
    weather: pd.DataFrame | None = None,
    *,
    notes: pd.DataFrame | None = None,
    sketch: pd.DataFrame | None = None,
    beside: Callable[[Days], Beside] | None = None,
    in_the_open: bool = False,
    indoor_c: float = 20.5,
) -> Exposure:
    """Find the sun in a record.

    Parameters
    ----------
    samples
        The probe's record, SAMPLES, not empty.
    site
        Where it stands; latitude and longitude must be known.
    school
        School days, for telling the sun from a door; None for the defaults.
    weather
        Hourly air temperature of the region, SAMPLES, or None.
    notes
        Shadows seen at the place: ``time, shadow``.
    sketch
        Corners of the opening: ``azimuth, elevation``.
    beside
        Gives what another probe tells on this record's grid.
    in_the_open
        Nothing shades this probe: only clouds are left to find.
    indoor_c
        Temperature of the school's rooms, for telling the sun from a door, degC.
    """
    ground = prepare(samples, site, weather, notes, sketch, beside, in_the_open, indoor_c)
    y, step, prior_odds = ground.celsius, ground.days.step, log_odds(ground.prior)
    scatter = background.noise(y, np.ones_like(y), step, ground.noise_limit)
    ladder = np.full(len(chain.LEVELS), 1 / len(chain.LEVELS))
    known, clear, pooled = ground.prior, ground.out, ground.prior
    shaded = ground.days.elevation < 0
    changes = (chain.CHANGE, chain.CHANGE_CALM) if _may_keep_level(ground) else (chain.CHANGE,)
    ways = product(chain.GUSTS, changes)
    trials = (read(ground, known, clear, scatter, *way, shaded, ladder) for way in ways)
    reading = first = max(trials, key=lambda trial: trial.fit)
    gust, change = first.gust, first.change
    for turn in range(ROUNDS):
        if turn:
            reading = read(ground, known, clear, scatter, gust, change, shaded, ladder)
        clear = reading.clear
        soft = _softened(reading.evidence, ground.seen)
        others = carry(soft, ground.path.azimuth, ground.path.elevation, ground.between)
        if not in_the_open:
            known = chance(prior_odds + others)
        pooled = chance(prior_odds + others + soft)
        scatter = background.noise(y, np.clip(1 - reading.lit, 0.02, 1), step, ground.noise_limit)
        shaded, ladder = _shade(ground, reading.lit), _ladder(ground, reading.levels)
        ground = ground.without(_excess(reading))
    openings, all_day = draw_openings(ground, reading, pooled, ladder, school or School(), site)
    doors = hinted_doors(openings, ground, reading, pooled, ladder, school or School(), site)
    known = ground.prior if in_the_open else _within(openings, ground)
    last = reading
    if ground.told.any():
        # Under an opening whose sun another probe saw nothing passes for shade because the rounds missed it.
        held = np.maximum(reading.lit, np.where(ground.told, known * ground.out, 0.0))
        scatter = background.noise(y, np.clip(1 - held, 0.02, 1), step, ground.noise_limit)
        shaded, ladder = _shade(ground, held), np.full(len(chain.LEVELS), 1 / len(chain.LEVELS))
        before = (held < 0.3, _excess(reading))
        last = read(ground, known, clear, scatter, gust, chain.CHANGE, shaded, ladder, before)
    dark = np.zeros_like(known)
    looked = ground.seen & ~(ground.told & (ground.out < 0.5))
    for turn in range(2):
        if ground.told.any():
            scatter = background.noise(y, np.clip(1 - last.lit, 0.02, 1), step, ground.noise_limit)
            shaded, ladder = _shade(ground, last.lit), _ladder(ground, last.levels)
        unlit = known < 0.1
        if all_day <= WHOLE or in_the_open:
            unlit |= _without_sun(last.lit, dark, step) if turn else last.lit < 0.3
        before = (unlit, _excess(last))
        last = read(ground, known, clear, scatter, gust, chain.CHANGE, shaded, ladder, before)
        lit = last.levels[:, :, 1:].sum(axis=2)  # the lowest level is under the degree that counts
        if all_day <= WHOLE:
            if not turn and not in_the_open:
                openings = _bounded(openings, lit, ground, looked)
                known = _within(openings, ground)
            dark = gaps(lit, known, ground.out, looked, ground.path, step)
    level = _excess(last) / np.maximum(last.lit, 1e-6)
    return Exposure(
        ground.days, ground.first, lit, known,
        level, ground.warmth(shaded), last.evidence, pooled, ground.sky, openings, doors, dark,
        first.lit, all_day, ground.path,
    )  # fmt: skip


def _may_keep_level(ground: Ground) -> bool:
    """Tell whether a record may hold that the sun's warmth keeps its level nearly always.

    Noise would pass for such sun, and so would the afternoon's warmth over a region's series where no night
    shows how the two swing; a probe in the open tells when sun begins and ends.
    """
    swings = ground.regional and np.isnan(ground.calm)
    return not (swings or ground.told.any() or background.is_noisy(ground.days, ground.calm))


def _without_sun(lit: Array, dark: Array, step: int) -> NDArray[np.bool_]:
    """Return the cells of openings that are the shade's air: gaps, and long stretches without sun."""
    clouded = step * box(lit, round(CLOUDED_MIN / step)) < HARDLY_MIN
    return np.asarray(clouded | (dark > SURELY_DARK))


def _shade(ground: Ground, lit: Array) -> NDArray[np.bool_]:
    """Return where the probe is held to be unlit, on the whole grid."""
    shaded = ground.days.elevation < 0
    shaded[:, ground.first : ground.first + lit.shape[1]] |= lit < 0.3
    return np.asarray(shaded)


def _ladder(ground: Ground, levels: Array) -> Array:
    """Return how often each level of excess was seen, as if each had a share of forty minutes more."""
    count, more = (levels * ground.seen[:, :, None]).sum(axis=(0, 1)), 40 / ground.days.step
    return np.asarray((count + more / len(count)) / (count.sum() + more))


def _excess(reading: Reading) -> Array:
    """Return the excess that a reading expects, degC, shape (d, m)."""
    return np.asarray((reading.levels * chain.LEVELS).sum(axis=2))


def _within(openings: tuple[Opening, ...], ground: Ground) -> Array:
    """Return the chance that each cell is open, by the openings alone."""
    known = np.full(ground.celsius.shape, STRAY)
    for opening in openings:
        known = np.maximum(known, opening.seen_inside(ground.path) * SURE * opening.real)
    return known


def _bounded(
    openings: tuple[Opening, ...], lit: Array, ground: Ground, looked: NDArray[np.bool_]
) -> tuple[Opening, ...]:
    """Return the openings with the level lines that shut a part of them."""
    path, step = ground.path, ground.days.step
    return tuple(
        replace(o, bounds=find_bounds(lit, o.inside(path) > 0.5, ground.out, looked, path.elevation, step))
        for o in openings
    )


def _softened(evidence: Array, seen: NDArray[np.bool_]) -> Array:
    """Return evidence averaged over three cells: other days' edges don't fall on the same one."""
    return np.where(seen, box(evidence, 1) / np.maximum(box(seen.astype(float), 1), 1), 0.0)
