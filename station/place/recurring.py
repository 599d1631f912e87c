"""Recurring: windows that come again, where their edges lie, and whether sun, door or chance made them."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from station.place import chain
from station.place.days import school_days
from station.place.doors import by_the_clock, door_log_odds
from station.place.ground import REACH_DEG, Ground
from station.place.heights import Bound
from station.place.low_sun import low_sun_log_odds
from station.place.openings import AROUND_MIN, Edge, Path, clock_log_odds, fit_edge
from station.place.passage import EVENT_MIN, passages, sky_weights, sun_against_chance, told_weights
from station.place.reading import Reading, log_odds
from station.place.windows import Window, follow
from station.record.model import School, Site

Array = NDArray[np.float64]

#: Chance that a window which was found is there every day and no chance event, before the days are asked.
RECURS = 0.2
#: A window that for so long [min] is no warmer than this [degC] may as well be restless shade (tuned: of 19
#: such that passed for sun 14 were, nearly all of 1.4 to 2.5 degC; two were shaded places). So much of its
#: chance is left (with a half, other small chances made it open).
FAINT_MIN, FAINT_C, FAINT = 40.0, 0.9, 0.4
#: Windows so likely open, of this length [min] at the most, are asked whether a door made them: it did if the
#: sun's chance is less than this, and chance events lose by this much (tuned with the verdict).
HINT, DOOR_MIN, HINTED_REAL, HINTED_SEEN = 0.07, 20.0, 0.15, 5.0
#: A window so long [min] beside a region's series, which may swing by day less than the place: the sun warms
#: a probe within five of a slow one's lags of its edges [min], where it stands so high [degrees] (tuned).
LONG_MIN, SOON_MIN, RISEN_DEG = 180.0, 10.0, 12.0
#: A place in the sun all day is so from when it stands this high [degrees] (common sense).
HIGH_DEG = 8.0
#: Log odds of it where outside of windows its most restless day steps by so much more than shade [degC], and
#: how they grow with that step's logarithm, with the windows' share of the day, and with what the days tell
#: of it beyond the windows, whose sum is sure to a tenth (fitted on invented sites apart, shaded ones
#: counting six times; so were the least step asked and how restless shade may be).
ALL_DAY, RESTLESS_C, BY_RESTLESS, BY_SHARE, BY_TOLD, LEAST_C = 2.2, 0.17, 5.8, 9.8, 0.8, 0.03
#: It is drawn from this chance on (tuned: of 397 places in the sun all day nine lay between a half and this,
#: all of less than 2.7 degC and most of them missed all the same; one shaded place of 1,800 was then read as
#: seven hours a day of sun).
WHOLE = 0.7
#: What surrounds such a place stands no higher than this [degrees] (common sense).
OPEN_DEG = 12.0
#: A window this far inside another is the same opening [share of its cells] (common sense).
SAME_SHARE = 0.5
#: A window is taken without a door's minutes if these leave so much of it, and it is rather the sun's then: a
#: window that is a door's altogether, or only looks like one, stays whole (common sense).
LEFT = 0.5
#: Days whose noons are this near see the same sky [degrees]; shade beside a window, asked with it [min].
SAME_DEG, BESIDE_MIN = 0.5, 8.0
#: A probe in the open has to tell of this share of a window before its sky is asked (common sense).
TOLD_SHARE = 0.7


@dataclass(frozen=True)
class Opening:
    """One recurring window: its edges, the chance that it is the sun's, the days' log odds over chance.

    ``bounds`` are level lines that shut a part between the edges.
    """

    window: Window
    entering: Edge
    leaving: Edge
    real: float
    seen: float
    bounds: tuple[Bound, ...] = ()

    def within(self, elevation: Array, above: bool | None = None) -> Array:
        """Return the chance that no bound (above, below, any) shuts out the sun; elevation in degrees."""
        chance = np.ones(elevation.shape)
        for bound in self.bounds:
            if above in (None, bound.above):
                chance *= bound.inside(elevation)
        return chance

    def inside(self, path: Path) -> Array:
        """Return the chance that each cell of other days lies within it, clouds apart, shape (d, m)."""
        m = path.azimuth.shape[1]
        between = np.stack([
            self.entering.spread(path, row, m) * (1 - self.leaving.spread(path, row, m))
            for row in range(len(path.noon))
        ])  # fmt: skip
        return np.asarray(between * self.within(path.elevation))

    def seen_inside(self, path: Path) -> Array:
        """Return the same for recorded days, less the farther a day's noon is from those that showed it."""
        noon = path.elevation.max(axis=1)
        fade = np.exp(-np.maximum(self.window.apart(noon) - SAME_DEG, 0) / REACH_DEG)
        return np.asarray(self.inside(path) * fade[:, None])


def draw_openings(
    ground: Ground, reading: Reading, pooled: Array, ladder: Array, school: School, site: Site
) -> tuple[tuple[Opening, ...], float]:
    """Draw the openings behind the windows that recur, and weigh each against doors and chance.

    Returns them, and the chance that nothing shades the place; the whole day is then its one opening, if it
    explains the days better than the windows do.
    """
    windows = follow(pooled > 0.5, ground.path.elevation.max(axis=1), ground.days.step)
    judged = [_opening(window, windows, ground, reading, ladder, school, site) for window in windows]
    left = _without_doors(windows, judged, ground, reading, pooled > 0.5, ladder, school, site)
    found = _distinct(left, ground)
    whole, told = _all_day(ground, reading)
    all_day = float(1 / (1 + np.exp(-np.clip(_all_day_log_odds(found, told, ground), -20, 20))))
    if all_day > WHOLE:
        opening = _opening(whole, [whole], ground, reading, ladder, school, site, OPEN_DEG)
        found = (replace(opening, real=max(opening.real, all_day)),)
    return found, all_day


def _without_doors(
    windows: list[Window],
    judged: list[Opening],
    ground: Ground,
    reading: Reading,
    open_: NDArray[np.bool_],
    ladder: Array,
    school: School,
    site: Site,
) -> list[Opening]:
    """Return the openings of the windows, those that are rather the sun's without a door's minutes drawn so.

    A door beside the sun's window, or across its end, would draw the edge to itself.
    """
    days = ground.days
    bell, clock = school_days(days, site, school), days.clock(site)[:, ground.first]
    doors = by_the_clock(reading.lit, open_, ground.seen, ground.sky, bell, clock, days.step)
    if not doors.any():
        return judged
    asked = replace(reading, steps=reading.steps.without(doors & bell[:, None]))
    drawn = []
    for window, opening in zip(windows, judged, strict=True):
        drawn.append(opening)
        left = window.trimmed(doors, days.step)
        if left.size > LEFT * window.size:
            # The others stay whole: their own minutes remain closed to this window's edges.
            others = [left if other is window else other for other in windows]
            rest = _opening(left, others, ground, asked, ladder, school, site)
            if rest.real > 0.5:
                drawn[-1] = rest
    return drawn


def hinted_doors(
    openings: tuple[Opening, ...],
    ground: Ground,
    reading: Reading,
    pooled: Array,
    ladder: Array,
    school: School,
    site: Site,
) -> tuple[Window, ...]:
    """Return the windows too faint or short for an opening that are a door's, beside the openings.

    Parameters as for ``draw_openings``.
    """
    # No chance events, as when this was tuned: with them the end of a weak sun passed for a door.
    step = ground.days.step
    windows = follow(pooled > HINT, ground.path.elevation.max(axis=1), step)
    known = [o.inside(ground.path) > 0.5 for o in openings]
    doors = []
    for window in windows:
        lengths = [b - a for a, b in window.rows.values()]
        beside = not any(cells[row, a:b].any() for cells in known for row, (a, b) in window.rows.items())
        if beside and float(np.median(lengths)) * step <= DOOR_MIN:
            judged = _opening(window, windows, ground, reading, ladder, school, site, event_min=0.0)
            if judged.real < HINTED_REAL and judged.seen > HINTED_SEEN:
                doors.append(window)
    return tuple(doors)


def _opening(
    window: Window,
    windows: list[Window],
    ground: Ground,
    reading: Reading,
    ladder: Array,
    school: School,
    site: Site,
    horizon_deg: float | None = None,
    event_min: float = EVENT_MIN,
) -> Opening:
    """Place both edges of a window, then weigh it against doors and chance."""
    days = ground.days
    entering, leaving, clock = _edges(window, windows, ground, reading, ladder, site, horizon_deg, event_min)
    rows, edges = _passed(window, entering, leaving, ground)
    length = float(np.median([b - a for a, b in window.rows.values()])) * days.step
    level = (reading.levels * chain.LEVELS).sum(axis=2) / np.maximum(reading.lit, 1e-6)
    bell = school_days(days, site, school)
    door = door_log_odds(
        length, rows, edges, reading.lit, level, ground.celsius, ground.out, bell, clock, ground.indoor_c,
        days.step,
    )  # fmt: skip
    seen = _seen(rows, edges, ground, reading, ladder)
    sun = float(log_odds(np.array(RECURS))) + seen
    real = 1 / (1 + np.exp(np.clip(door, -20, 20)) + np.exp(-np.clip(sun, -20, 20)))
    if length >= FAINT_MIN and _warmth(rows, edges, reading.lit, level) < FAINT_C:
        real *= FAINT
    if ground.regional and length >= LONG_MIN and not _at_once(rows, edges, ground, reading.lit):
        real = 0.0
    return Opening(window, entering, leaving, float(real), seen)


def _at_once(rows: NDArray[np.intp], edges: NDArray[np.intp], ground: Ground, lit: Array) -> bool:
    """Tell whether the warmth of a long window comes and goes within minutes of its edges.

    On the usual day that shows half of it and more, and where the sun stands high at the edge.
    """
    soon = max(round(SOON_MIN / ground.days.step), 1)
    for first in (True, False):
        shown = []
        for row, (a, b) in zip(rows.tolist(), edges.tolist(), strict=True):
            part = slice(a, min(a + soon, b)) if first else slice(max(b - soon, a), b)
            if ground.path.elevation[row, part].min() > RISEN_DEG and (lit[row, a:b] > 0.5).mean() > 0.5:
                shown.append(float((lit[row, part] > 0.5).mean()))
        if shown and float(np.median(shown)) < 0.5:
            return False
    return True


def _distinct(openings: list[Opening], ground: Ground) -> tuple[Opening, ...]:
    """Return the openings without those that are a second view of one that more speaks for.

    The end of a record's hours, or a long cloud, cuts one opening into two windows: then one opening mostly
    lies in the other, or was itself seen there, however wide its edges.
    """
    kept: list[Opening] = []
    for opening in sorted(openings, key=lambda o: -o.seen):
        inside, own = opening.inside(ground.path), np.zeros(ground.celsius.shape)
        for row, (a, b) in opening.window.rows.items():
            own[row, a:b] = 1.0
        others = [other.inside(ground.path) for other in kept]
        if all(
            float((cells * other).sum()) <= SAME_SHARE * float(cells.sum())
            for other in others
            for cells in (inside, own)
        ):
            kept.append(opening)
    return tuple(o for o in openings if o in kept)


def _edges(
    window: Window,
    windows: list[Window],
    ground: Ground,
    reading: Reading,
    ladder: Array,
    site: Site,
    horizon_deg: float | None,
    event_min: float,
) -> tuple[Edge, Edge, float]:
    """Return the entering and the leaving edge of a window, each placed while the other is held, twice.

    And the log odds that the former keeps to the clock.
    """
    path, days, m = ground.path, ground.days, ground.celsius.shape[1]
    asked = window.over(path.elevation.max(axis=1), np.asarray(ground.seen.any(axis=1)))
    rows = np.array(sorted(asked.rows))
    bounds = np.array([asked.rows[r] for r in rows.tolist()])
    # A long window's edges lie where the sun is low and the record tells little: they may be far off.
    around = round(max(AROUND_MIN / days.step, 0.5 * float(np.median(bounds[:, 1] - bounds[:, 0]))))
    before, after = _room(window, windows, days.step, around)
    width = min(int((bounds[:, 1] - bounds[:, 0]).max()) + before + after, m)
    first = np.clip(bounds[:, 0] - before, 0, m - width)
    weights = _skies(ground, ground.out, rows, bounds)
    edges = bounds
    for _ in range(2):
        found = passages(
            reading.steps, rows, first, width, edges - first[:, None], weights, ladder, days.step,
            reading.change, ground.told_out, event_min,
        )  # fmt: skip
        entering = fit_edge(found.entering, first, path, asked, True, days.step, around, horizon_deg)
        leaving = fit_edge(found.leaving, first, path, asked, False, days.step, around, horizon_deg)
        crossed = _crossed(entering, leaving, path, rows)
        # An edge that shuts the window on a day would leave the other one nothing to be sought by.
        opens = np.where(crossed[:, 0] < bounds[:, 1], crossed[:, 0], bounds[:, 0])
        shuts = np.where(crossed[:, 1] > bounds[:, 0], crossed[:, 1], bounds[:, 1])
        edges = np.clip(np.stack([opens, shuts], axis=1), first[:, None], first[:, None] + width)
    clock = days.clock(site)[rows, ground.first : ground.first + m]
    return entering, leaving, clock_log_odds(found.entering, first, crossed[:, 0], clock, days.step)


def _passed(
    window: Window, entering: Edge, leaving: Edge, ground: Ground
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return the rows on which the sun passed a window, and its columns (from, to) there."""
    noon = ground.path.elevation.max(axis=1)
    rows = np.flatnonzero((window.apart(noon) < REACH_DEG) & ground.seen.any(axis=1))
    edges = _crossed(entering, leaving, ground.path, rows)
    open_ = edges[:, 1] > edges[:, 0]
    return rows[open_], edges[open_]


def _seen(
    rows: NDArray[np.intp], edges: NDArray[np.intp], ground: Ground, reading: Reading, ladder: Array
) -> float:
    """Return the log odds of a window of sun against chance, by every day whose sun passed there."""
    if not len(rows):
        return 0.0
    m, beside = ground.celsius.shape[1], round(BESIDE_MIN / ground.days.step)
    width = min(int((edges[:, 1] - edges[:, 0]).max()) + 2 * beside, m)
    first = np.clip(edges[:, 0] - beside, 0, m - width)
    weights = _skies(ground, ground.out, rows, edges)
    found = passages(
        reading.steps, rows, first, width, edges - first[:, None], weights, ladder, ground.days.step,
        reading.change, ground.told_out,
    )  # fmt: skip
    return float(sun_against_chance(found, weights).sum())


def _warmth(rows: NDArray[np.intp], edges: NDArray[np.intp], lit: Array, level: Array) -> float:
    """Return the median excess of a window's lit cells, degC; zero without one."""
    shown = [level[r, a:b][lit[r, a:b] > 0.5] for r, (a, b) in zip(rows, edges, strict=True)]
    cells = np.concatenate([*shown, np.empty(0)])
    return float(np.median(cells)) if len(cells) else 0.0


def _skies(ground: Ground, out: Array, rows: NDArray[np.intp], edges: NDArray[np.intp]) -> Array:
    """Return the chances of the skies over a window on each row."""

    def mean(values: Array) -> Array:
        return np.array([values[r, a:b].mean() for r, (a, b) in zip(rows, edges, strict=True)])

    weights = sky_weights(mean(out))
    return (
        weights
        if ground.told_out is None
        else told_weights(weights, mean(ground.told.astype(np.float64)) > TOLD_SHARE)
    )


def _crossed(entering: Edge, leaving: Edge, path: Path, rows: NDArray[np.intp]) -> NDArray[np.intp]:
    """Return the likeliest columns of both edges on each row, shape (rows, 2)."""
    some = Path(path.azimuth[rows], path.elevation[rows], path.noon[rows])
    m = path.azimuth.shape[1]
    at = [
        [int(np.searchsorted(edge.spread(some, i, m), 0.5)) for i in range(len(rows))]
        for edge in (entering, leaving)
    ]
    return np.array(at, dtype=np.intp).reshape(2, -1).T


def _room(window: Window, windows: list[Window], step: int, around: int) -> tuple[int, int]:
    """Return how many columns before and after a window, at most ``around``, belong to no other."""
    before = after = around
    for other in windows:
        for row in set(other.rows) & set(window.rows):
            (a, b), (c, d) = window.rows[row], other.rows[row]
            if d <= a:
                before = min(before, max((a - d) // 2, 4))
            if c >= b:
                after = min(after, max((c - b) // 2, 4))
    return before, after


def _all_day_log_odds(found: tuple[Opening, ...], told: float, ground: Ground) -> float:
    """Return the log odds that nothing shades the place, as days and windows ``told`` and the low sun."""
    windows_told = sum(max(opening.seen, 0.0) for opening in found)
    odds = ALL_DAY + BY_TOLD * (told - windows_told) / (10 + 0.1 * windows_told)
    if ground.told.any():  # where the sky is known, days that speak against it do so in full
        odds += min(told, 0.0)
    odds += low_sun_log_odds(ground.days, ground.sky)
    cells = np.zeros(ground.celsius.shape)
    for opening in found:
        cells = np.maximum(cells, opening.inside(ground.path))
    share, restless = ground.around(cells > 0.5)
    return odds + BY_SHARE * share + BY_RESTLESS * float(np.log(max(restless, LEAST_C) / RESTLESS_C))


def _all_day(ground: Ground, reading: Reading) -> tuple[Window, float]:
    """Return the whole day as a window, and the log odds of a place in the sun all day over chance events.

    With nothing shaded to compare with, the sun shows only as cloud comes and goes. A clear day's slow rise
    and fall is little evidence against it, unless another probe told when the sun was out.
    """
    path, step = ground.path, ground.days.step
    up = (path.elevation > np.minimum(HIGH_DEG, 0.6 * path.elevation.max())) & ground.seen
    rows = np.flatnonzero(up.sum(axis=1) * step >= 60)
    if not len(rows):
        return Window(), -20.0
    edges = np.array([[np.flatnonzero(up[r])[0], np.flatnonzero(up[r])[-1] + 1] for r in rows])
    weights = _skies(ground, np.broadcast_to(ground.sky[:, None], up.shape), rows, edges)
    even = np.full(len(chain.LEVELS), 1 / len(chain.LEVELS))
    first = np.zeros(len(rows), np.intp)
    found = passages(reading.steps, rows, first, up.shape[1], edges, weights, even, step, reading.change,
                     ground.told_out)  # fmt: skip
    least = -np.inf if ground.told.any() else -1.0
    told = float(np.maximum(sun_against_chance(found, weights, 0.5), least).sum())
    window = Window({int(r): (int(a), int(b)) for r, (a, b) in zip(rows, edges, strict=True)})
    return window, told
