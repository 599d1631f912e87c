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
from station.place.ground import REACH_DEG, Ground, prepare
from station.place.hints import Beside
from station.place.openings import AROUND_MIN, Edge, Path, fit_edge
from station.place.passage import passages, sky_weights, sun_against_chance
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
#: Chance that a window which was found is there every day and no chance event, before the days are asked.
RECURS = 0.2
#: A place in the sun from when it stands this high [degrees], before looking (common sense).
HIGH_DEG, ALL_DAY = 8.0, 0.05


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
    for an open sky; ``gaps``: chance that a cell of an opening is dark; ``all_day``: chance
    that nothing shades the place; ``pooled``: its chance by all days, without the openings' lines; ``sky``: chance
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
    whole, all_day = _all_day(ground, reading)
    openings = _openings(ground, reading, pooled, ladder, school or School(), site, whole, all_day)
    known = _within(openings, ground)
    last = reading
    for _ in range(2):
        unlit = known < 0.1 if all_day > 0.5 else (last.lit < 0.3) | (known < 0.1)
        last = _read(ground, known, clear, scatter, gust, shaded, ladder, unlit)
    dark = np.zeros_like(known)
    if all_day < 0.5:
        dark = gaps(last.lit, known, ground.out, ground.seen, ground.path, step)
    level = (last.levels * chain.LEVELS).sum(axis=2) / np.maximum(last.lit, 1e-6)
    return Exposure(
        ground.days, ground.first, last.levels[:, :, 1:].sum(axis=2), known * (1 - dark),
        last.clear, level, ground.warmth(shaded), last.evidence, pooled, ground.sky, openings, dark,
        all_day, ground.path,
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
    ground: Ground,
    reading: Reading,
    pooled: Array,
    ladder: Array,
    school: School,
    site: Site,
    whole: Window,
    all_day: float,
) -> tuple[Opening, ...]:
    """Draw the openings behind the windows that recur, and weigh each against doors and chance."""
    windows = follow(pooled > 0.5, ground.path.elevation.max(axis=1), ground.days.step)
    if all_day > 0.5 and not any(_covers(window, whole) for window in windows):
        windows = [whole]
    return tuple(_opening(window, windows, ground, reading, ladder, school, site) for window in windows)


def _covers(window: Window, whole: Window) -> bool:
    """Whether a window takes up half of the day on half of the days."""
    shared = [
        min(whole.rows[row][1], b) - max(whole.rows[row][0], a) > (whole.rows[row][1] - whole.rows[row][0]) / 2
        for row, (a, b) in window.rows.items()
        if row in whole.rows
    ]
    return sum(shared) * 2 >= len(whole.rows)


def _opening(
    window: Window,
    windows: list[Window],
    ground: Ground,
    reading: Reading,
    ladder: Array,
    school: School,
    site: Site,
) -> Opening:
    """Place both edges of a window, each while the other is held, twice; then weigh it."""
    path, days, m = ground.path, ground.days, ground.celsius.shape[1]
    rows = np.array(sorted(window.rows))
    bounds = np.array([window.rows[r] for r in rows.tolist()])
    before, after = _room(window, windows, days.step)
    width = min(int((bounds[:, 1] - bounds[:, 0]).max()) + before + after, m)
    first = np.clip(bounds[:, 0] - before, 0, m - width)
    weights = _skies(ground, rows, bounds)
    edges = bounds
    for _ in range(2):
        found = passages(
            reading.steps, rows, first, width, edges - first[:, None], weights, ladder, days.step
        )
        entering = fit_edge(found.entering, first, path, window, True, days.step)
        leaving = fit_edge(found.leaving, first, path, window, False, days.step)
        edges = _crossed(entering, leaving, path, rows)
        edges[:, 0] = np.clip(edges[:, 0], first, first + width - 2)
        edges[:, 1] = np.clip(edges[:, 1], edges[:, 0] + 1, first + width)
    level = (reading.levels * chain.LEVELS).sum(axis=2) / np.maximum(reading.lit, 1e-6)
    door = door_log_odds(
        window, reading.lit, ground.span, days, ground.first, school, site, level, ground.indoor_c
    )
    sun = float(log_odds(np.array(RECURS))) + _seen_on_all_days(
        window, entering, leaving, ground, reading, ladder
    )
    real = 1 / (1 + np.exp(np.clip(door, -20, 20)) + np.exp(-np.clip(sun, -20, 20)))
    return Opening(window, entering, leaving, float(real))


def _seen_on_all_days(
    window: Window, entering: Edge, leaving: Edge, ground: Ground, reading: Reading, ladder: Array
) -> float:
    """Return the log odds of a window of sun against chance, by every day whose sun passed there."""
    m, noon = ground.celsius.shape[1], ground.path.elevation.max(axis=1)
    own = np.array(sorted(window.rows))
    far = np.min(np.abs(noon[:, None] - noon[own][None, :]), axis=1)
    rows = np.flatnonzero((far < REACH_DEG) & ground.seen.any(axis=1))
    edges = _crossed(entering, leaving, ground.path, rows)
    rows, edges = rows[edges[:, 1] > edges[:, 0]], edges[edges[:, 1] > edges[:, 0]]
    if not len(rows):
        return 0.0
    beside = round(8 / ground.days.step)
    width = min(int((edges[:, 1] - edges[:, 0]).max()) + 2 * beside, m)
    first = np.clip(edges[:, 0] - beside, 0, m - width)
    weights = _skies(ground, rows, edges)
    found = passages(
        reading.steps, rows, first, width, edges - first[:, None], weights, ladder, ground.days.step
    )
    return float(sun_against_chance(found, weights).sum())


def _skies(ground: Ground, rows: NDArray[np.intp], edges: NDArray[np.intp]) -> Array:
    return sky_weights(np.array([ground.out[r, a:b].mean() for r, (a, b) in zip(rows, edges, strict=True)]))


def _crossed(entering: Edge, leaving: Edge, path: Path, rows: NDArray[np.intp]) -> NDArray[np.intp]:
    """Return the likeliest columns of both edges on each row, shape (rows, 2)."""
    some = Path(path.azimuth[rows], path.elevation[rows], path.noon[rows])
    m = path.azimuth.shape[1]
    at = [
        [int(np.searchsorted(edge.spread(some, i, m), 0.5)) for i in range(len(rows))]
        for edge in (entering, leaving)
    ]
    return np.array(at, dtype=np.intp).reshape(2, -1).T


def _room(window: Window, windows: list[Window], step: int) -> tuple[int, int]:
    """Return how many columns before and after a window belong to no other."""
    before = after = round(AROUND_MIN / step)
    for other in windows:
        for row in set(other.rows) & set(window.rows):
            (a, b), (c, d) = window.rows[row], other.rows[row]
            if d <= a:
                before = min(before, max((a - d) // 2, 4))
            if c >= b:
                after = min(after, max((c - b) // 2, 4))
    return before, after


def _all_day(ground: Ground, reading: Reading) -> tuple[Window, float]:
    """Return the whole day as a window, and the chance that the place is in the sun all day.

    With nothing shaded to compare with, the sun shows only as cloud comes and goes. A clear day's slow rise
    and fall is little evidence against it.
    """
    path, step = ground.path, ground.days.step
    up = (path.elevation > np.minimum(HIGH_DEG, 0.6 * path.elevation.max())) & ground.seen
    rows = np.flatnonzero(up.sum(axis=1) * step >= 60)
    if not len(rows):
        return Window(), 0.0
    edges = np.array([[np.flatnonzero(up[r])[0], np.flatnonzero(up[r])[-1] + 1] for r in rows])
    weights = sky_weights(ground.sky[rows])
    even = np.full(len(chain.LEVELS), 1 / len(chain.LEVELS))
    first = np.zeros(len(rows), np.intp)
    found = passages(reading.steps, rows, first, up.shape[1], edges, weights, even, step)
    told = np.maximum(sun_against_chance(found, weights, 0.5), -1.0).sum()
    window = Window({int(r): (int(a), int(b)) for r, (a, b) in zip(rows, edges, strict=True)})
    return window, float(1 / (1 + np.exp(-np.clip(told + np.log(ALL_DAY), -20, 20))))


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
