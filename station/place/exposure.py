"""Exposure: when the sun reached the probe, day by day, and through which recurring windows.

Two views take turns. The chain reads each day by itself, given what other days say of that part of the sky;
the map gathers what the days say, with cloud as a hidden state: a day without sun speaks against an opening
only as far as the sun was out.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from station.place import background, chain
from station.place.background import box
from station.place.days import Days
from station.place.doors import door_log_odds
from station.place.gaps import gaps
from station.place.ground import Ground, prepare
from station.place.hints import Beside
from station.place.openings import AROUND_MIN, Edge, Path, fit_edge
from station.place.passage import passages, sky_weights
from station.place.skymap import carry
from station.place.windows import Window, follow
from station.record.model import School, Site

Array = NDArray[np.float64]

#: How often the two views take turns before the openings are drawn.
ROUNDS = 4
#: Evidence of one cell is trusted up to this log odds, and a little less than the chain says (tuned).
TRUST, MOST = 0.8, 4.0
#: The chance of an open cell outside and inside the openings that were found.
STRAY, SURE = 0.002, 0.97
#: From this length on [min] a window's edges say little; it then needs this share of large steps (tuned), or
#: is trusted this far.
HOURS_LONG_MIN, JUMPY, UNSURE = 240.0, 0.04, 0.3


@dataclass(frozen=True)
class Opening:
    """One recurring window: its two edges, and the chance that it is no door's."""

    window: Window
    entering: Edge
    leaving: Edge
    real: float

    def inside(self, path: Path) -> Array:
        """Return the chance that each cell of other days lies within it, clouds apart, shape (d, m)."""
        m = path.azimuth.shape[1]
        return np.stack([
            self.entering.spread(path, row, m) * (1 - self.leaving.spread(path, row, m))
            for row in range(len(path.noon))
        ])  # fmt: skip


@dataclass(frozen=True)
class Reading:
    """What one turn of the chain says, shapes (d, m) and (d, m, k): log evidence is for an open sky."""

    lit: Array
    levels: Array
    clear: Array
    evidence: Array
    fit: float
    steps: chain.Chain


@dataclass(frozen=True)
class Exposure:
    """What the record says of the sun, on the columns of ``days`` from ``first``, shapes (d, m).

    ``lit``: probability that sun reaches the probe; ``open``: that the sky is open there, clouds apart;
    ``clear``: that the sun is out; ``level``: expected excess where lit [degC]; ``warmth``: the
    record above the region's or a usual day's air [degC]; ``evidence``: log evidence
    for an open sky; ``gaps``: chance that a cell of an opening is dark; ``pooled``: its chance by all days, without the openings' lines; ``sky``: chance
    by row that the sun was out, from the range of the air, shape (d,).
    """

    days: Days
    first: int
    lit: Array
    open: Array
    clear: Array
    level: Array
    warmth: Array
    evidence: Array
    pooled: Array
    sky: Array
    openings: tuple[Opening, ...]
    gaps: Array
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
    """
    ground = prepare(samples, site, weather, notes, sketch, beside, in_the_open)
    y, step, prior_odds = ground.celsius, ground.days.step, log_odds(ground.prior)
    scatter = background.noise(y, np.ones_like(y), step)
    ladder = np.full(len(chain.LEVELS), 1 / len(chain.LEVELS))
    night = ground.days.elevation < 0
    known, clear, shaded, pooled = ground.prior, ground.out, night, ground.prior
    trials = {gust: _read(ground, known, clear, scatter, gust, shaded, ladder) for gust in chain.GUSTS}
    gust = max(trials, key=lambda g: trials[g].fit)
    reading = trials[gust]
    for turn in range(ROUNDS):
        if turn:
            reading = _read(ground, known, clear, scatter, gust, shaded, ladder)
        clear = reading.clear
        soft = _softened(reading.evidence, ground.seen)
        others = carry(soft, ground.path.azimuth, ground.path.elevation, ground.between)
        known = chance(prior_odds + others)
        pooled = chance(prior_odds + others + soft)
        scatter = background.noise(y, np.clip(1 - reading.lit, 0.02, 1), step)
        shaded = night.copy()
        shaded[:, ground.first : ground.first + y.shape[1]] |= reading.lit < 0.3
        count = (reading.levels * ground.seen[:, :, None]).sum(axis=(0, 1))
        ladder = (count + 40 / step / len(count)) / (count.sum() + 40 / step)
    openings = _openings(ground, reading, pooled, ladder, school or School(), site)
    known = _within(openings, ground)
    last = reading
    for _ in range(2):
        unlit = (last.lit < 0.3) | (known < 0.1)
        last = _read(ground, known, clear, scatter, gust, shaded, ladder, unlit)
    dark = gaps(last.lit, known, ground.out, ground.seen, ground.path, step)
    level = (last.levels * chain.LEVELS).sum(axis=2) / np.maximum(last.lit, 1e-6)
    return Exposure(
        ground.days, ground.first, last.levels[:, :, 1:].sum(axis=2), known * (1 - dark),
        last.clear, level, ground.warmth(shaded), last.evidence, pooled, ground.sky, openings, dark, ground.path,
    )  # fmt: skip


def _read(
    ground: Ground,
    known: Array,
    clear: Array,
    scatter: Array,
    gust: float,
    shaded: NDArray[np.bool_],
    ladder: Array,
    unlit: NDArray[np.bool_] | None = None,
) -> Reading:
    """Let the chain read every day, given the chance that the sky is open and the sun out."""
    step, seen = ground.days.step, ground.seen
    low = (ground.path.elevation < 12) & (ground.path.elevation > -1)
    own = ground.by_itself(shaded)
    if unlit is not None:
        own += ground.by_the_shade(unlit, gust)
        own -= own.max(axis=2, keepdims=True)
    steps = chain.evidence(ground.celsius, scatter, gust, low, own)
    prior = np.where(ground.up, known * np.clip(clear, 0.15, 0.95), 1e-5)
    found = chain.smooth(steps, prior, np.where(ground.up, known, 1e-4), ladder, step)
    lit = found.probability
    clear = _sun_out(ground.out, known, lit, seen, step)
    ratio = np.exp(np.clip(TRUST * (log_odds(lit) - log_odds(prior)), -MOST, MOST))
    evidence = np.where(seen, np.log(clear * ratio + 1 - clear), 0.0)
    return Reading(lit, found.levels, clear, evidence, found.log_evidence, steps)


def _sun_out(out: Array, known: Array, lit: Array, seen: NDArray[np.bool_], step: int) -> Array:
    """Return the chance that the sun was out around each cell: the day's, and what open cells showed."""
    weight = known**2 * seen
    half, worth = round(30 / step), 15 / step
    around = (worth * out + box(weight * lit, half)) / (worth + box(weight, half))
    return np.clip(around, 0.05, 0.90)


def _openings(
    ground: Ground, reading: Reading, pooled: Array, ladder: Array, school: School, site: Site
) -> tuple[Opening, ...]:
    """Draw the openings behind the windows that recur."""
    path, step = ground.path, ground.days.step
    found = []
    windows = follow(pooled > 0.5, path.elevation.max(axis=1), step)
    for window in windows:
        door = door_log_odds(window, reading.lit, ground.span, path, ground.days, ground.first, school, site)
        entering, leaving = _edges(window, windows, ground, reading, ladder)
        real = min(float(chance(np.array(-door))), _by_jumps(window, ground))
        found.append(Opening(window, entering, leaving, real))
    return tuple(found)


def _edges(
    window: Window, windows: list[Window], ground: Ground, reading: Reading, ladder: Array
) -> tuple[Edge, Edge]:
    """Place both edges of a window, each while the other is held, twice."""
    path, step, m = ground.path, ground.days.step, ground.celsius.shape[1]
    rows = np.array(sorted(window.rows))
    bounds = np.array([window.rows[r] for r in rows.tolist()])
    room = [round(AROUND_MIN / step)] * 2
    for other in windows:
        if other is not window:
            for row in set(other.rows) & set(window.rows):
                (a, b), (c, d) = window.rows[row], other.rows[row]
                if d <= a:
                    room[0] = min(room[0], max((a - d) // 2, 4))
                if c >= b:
                    room[1] = min(room[1], max((c - b) // 2, 4))
    width = min(int((bounds[:, 1] - bounds[:, 0]).max()) + sum(room), m)
    first = np.clip(bounds[:, 0] - room[0], 0, m - width)
    weights = sky_weights(np.array([ground.out[r, a:b].mean() for r, (a, b) in zip(rows, bounds, strict=True)]))
    some = Path(path.azimuth[rows], path.elevation[rows], path.noon[rows])
    edges = bounds
    for _ in range(2):
        found = passages(
            reading.steps, rows, first, width, edges[:, 0] - first, edges[:, 1] - first, weights, ladder, step
        )
        entering = fit_edge(found.entering, first, path, window, True, step)
        leaving = fit_edge(found.leaving, first, path, window, False, step)
        at = [
            [int(np.searchsorted(edge.spread(some, i, m), 0.5)) for i in range(len(rows))]
            for edge in (entering, leaving)
        ]
        begin = np.clip(at[0], first, first + width - 2)
        edges = np.stack([begin, np.clip(at[1], begin + 1, first + width)], axis=1)
    return entering, leaving


def _by_jumps(window: Window, ground: Ground) -> float:
    """Return the most that a window is trusted: sun over hours shows in jumps, or above the region's air."""
    length = float(np.median([b - a for a, b in window.rows.values()])) * ground.days.step
    if length < HOURS_LONG_MIN or ground.compared or background.restless(ground.days) >= JUMPY:
        return 1.0
    return UNSURE


def _within(openings: tuple[Opening, ...], ground: Ground) -> Array:
    """Return the chance that each cell is open, by the openings alone."""
    noon = ground.path.elevation.max(axis=1)
    known = np.full(ground.celsius.shape, STRAY)
    for opening in openings:
        rows = np.array(sorted(opening.window.rows))
        far = np.min(np.abs(noon[:, None] - noon[rows][None, :]), axis=1)
        near = np.exp(-np.maximum(far - 0.5, 0) / 4.0)[:, None]
        known = np.maximum(known, opening.inside(ground.path) * near * SURE * opening.real)
    return known


def _softened(evidence: Array, seen: NDArray[np.bool_]) -> Array:
    """Return evidence averaged over three cells: other days' edges don't fall on the same one."""
    return np.where(seen, box(evidence, 1) / np.maximum(box(seen.astype(float), 1), 1), 0.0)


def log_odds(p: Array) -> Array:
    """Return log odds, kept within one in ten thousand."""
    q = np.clip(p, 1e-4, 1 - 1e-4)
    return np.asarray(np.log(q / (1 - q)))


def chance(odds: Array) -> Array:
    """Return the chance of log odds, kept within one in a thousand and one in four hundred."""
    return np.asarray(1 / (1 + np.exp(-np.clip(odds, -7, 6))))
