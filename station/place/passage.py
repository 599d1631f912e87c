"""When a window opened and closed on each day: the likelihood of every step as the moment of its edge.

Between its edges a window is open and the sun comes and goes with the clouds; outside them the probe is
shaded. The hidden chain gives each day's record a likelihood for every place of one edge, the other held,
with the day's sky (dull, mixed, clear) left open. A dull day says nothing; a clear day says a lot.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from station.place.chain import LINGER, Chain, keeping_up, neighbours

Array = NDArray[np.float64]

#: Skies: share of the time that the sun is out, and chance a minute that a cloud comes (common sense).
SKIES = ((0.01, 0.20), (0.45, 0.06), (0.93, 0.01))
#: Chance that a given window of a shaded day holds a warm event (common sense).
EVENTS = 0.1
#: Chance a minute that the sun comes or goes though a probe in the open told of no change (tuned).
TOLD_CHANGE_MIN = 0.02
#: Chance that the sky was as a probe in the open tells (tuned).
AS_TOLD = 0.9
#: Chance a minute that something else warms the shaded probe, a hand, a draught, where edges are sought, and
#: that it ends (tuned: ten times as often, and a few cloudy days' own edges no longer count).
EVENT_MIN, OVER_MIN = 0.0002, 0.15
#: Chance of mixed sky beside dull and clear, and how sharply these follow the day (tuned with the skies).
MIXED, SHARP = 0.35, 1.3


def sky_weights(out: Array) -> Array:
    """Return the chances of dull, mixed and clear sky for each chance that the sun is out, shape (d, 3)."""
    share = np.clip(out, 0.04, 0.95)
    clear = np.clip((share - 0.1) / 0.8, 0.02, 0.98) ** SHARP
    dull = np.clip((0.9 - share) / 0.8, 0.02, 0.96) ** SHARP
    mixed = np.full(share.shape, MIXED)
    weights = np.stack([dull, mixed, clear], axis=-1)
    return np.asarray(weights / weights.sum(axis=-1, keepdims=True))


def sky_turns(step: int) -> tuple[Array, Array, Array]:
    """Return each sky's share of sun, and the chances that it comes and goes in a step, shape (3,) each."""
    share, leave = (np.array(x) for x in zip(*SKIES, strict=True))
    leave = np.clip(leave * step, 0, 0.6)
    return share, np.clip(share / (1 - share) * leave, 0, 0.6), leave


def told_weights(weights: Array, told: NDArray[np.bool_]) -> Array:
    """Return the chances of the skies with a fourth, told by a probe in the open, shape (d, 4)."""
    chance = np.where(told, AS_TOLD, 1e-6)[:, None]
    return np.concatenate([weights * (1 - chance), chance], axis=1)


@dataclass(frozen=True)
class Passage:
    """Log likelihood of each step as an edge; in row i the window opens, or has closed, at ``first[i] + j``.

    ``entering`` and ``leaving`` have shape (rows, width + 1); ``shut`` is the log likelihood of no window,
    shape (rows,), and ``whole`` that of the window with both edges as given, under each sky, (rows, skies).
    """

    entering: Array
    leaving: Array
    shut: Array
    whole: Array


def sun_against_chance(found: Passage, weights: Array, events: float = EVENTS) -> Array:
    """Return for each row the log odds of sun in a window against shade with a rare event, shape (rows,).

    A hand on the probe or a draught lasts minutes: it is told like a gap in a dull sky.
    """
    short = found.whole[:, 0]
    dull = np.logaddexp(found.shut, short) - np.log(2)
    sun = np.logaddexp(np.log(weights[:, 0]) + dull,
                       np.logaddexp.reduce(np.log(weights[:, 1:]) + found.whole[:, 1:], axis=1))  # fmt: skip
    rare = np.logaddexp(np.log1p(-events) + found.shut, np.log(events) + short)
    return np.asarray(sun - rare)


@dataclass(frozen=True)
class _Stretch:
    """Densities of one stretch of every row, shapes (rows, w), (rows, w, k) and so on; the skies' rates."""

    still: Array
    rise: Array
    fall: Array
    half_rise: Array
    half_fall: Array
    half_stay: Array
    among: Array
    own: Array  # (rows, w, 1 + 2k)
    ladder: Array
    near: Array
    share: Array  # (rows, w, skies), as the next two
    enter: Array
    leave: Array

    @classmethod
    def cut(
        cls,
        steps: Chain,
        rows: NDArray[np.intp],
        first: NDArray[np.intp],
        width: int,
        ladder: Array,
        step: int,
        change: float,
        told: Array | None,
    ) -> _Stretch:
        """Cut the stretch out of a chain's densities."""
        at, which = first[:, None] + np.arange(width)[None, :], rows[:, None]
        own = np.ones((len(rows), width, 1 + 2 * len(ladder)))
        if steps.own is not None:
            own = np.asarray(steps.own[at, which], np.float64)
        share, enter, leave = (np.tile(x, (len(rows), width, 1)) for x in sky_turns(step))
        if told is not None:
            p = told[which, at].T
            own_sky = (p, *keeping_up(p, np.full(p.shape, TOLD_CHANGE_MIN * step)))
            share, enter, leave = (
                np.concatenate([usual, new.T[:, :, None]], axis=2)
                for usual, new in zip((share, enter, leave), own_sky, strict=True)
            )

        def pick(values: NDArray[np.float32]) -> Array:
            return np.asarray(values[at, which], np.float64)

        return cls(
            still=pick(steps.still), rise=pick(steps.rise), fall=pick(steps.fall),
            half_rise=pick(steps.half_rise), half_fall=pick(steps.half_fall), half_stay=pick(steps.half_stay),
            among=pick(steps.among), own=own, ladder=ladder, near=neighbours(len(ladder), change),
            share=share, enter=enter, leave=leave,
        )  # fmt: skip

    def opened(self, j: int) -> Array:
        """Return the moves of a step inside the window, shape (rows, skies, states, states)."""
        k = len(self.ladder)
        lit, half, diag = slice(1, 1 + k), slice(1 + k, 1 + 2 * k), np.arange(k)
        enter, leave = self.enter[:, j], self.leave[:, j]
        move = np.zeros((*enter.shape, 1 + 2 * k, 1 + 2 * k))
        move[:, :, 0, 0] = (1 - enter) * self.still[:, j, None]
        into = 0.5 * enter[:, :, None] * self.ladder
        move[:, :, 0, lit] = into * self.rise[:, j, None]
        move[:, :, 0, half] = into * self.half_rise[:, j, None]
        out = 0.5 * leave[:, :, None]
        move[:, :, lit, 0] = out * self.fall[:, j, None]
        move[:, :, 1 + diag, 1 + k + diag] = out * self.half_fall[:, j, None]
        move[:, :, lit, lit] = (1 - leave)[:, :, None, None] * (self.near * self.among[:, j])[:, None]
        move[:, :, half, 0] = 0.5 * (1 - LINGER) * self.half_fall[:, j, None]
        move[:, :, 1 + k + diag, 1 + diag] = 0.5 * (1 - LINGER) * self.half_rise[:, j, None]
        move[:, :, 1 + k + diag, 1 + k + diag] = LINGER * self.half_stay[:, j, None]
        return np.asarray(move * self.own[:, j, None, None, :])

    def before(self, begin: float, over: float) -> tuple[Array, Array]:
        """Return the log likelihood of a row up to each column with the window shut and the probe not warmed.

        And that of the whole row: shapes (rows, w + 1) and (rows,). Events begin and are over with these
        chances a step.
        """
        r, w = self.still.shape
        calm, warm = np.ones((r, 1)), np.zeros((r, len(self.ladder)))
        log, logs = np.zeros(r), np.zeros((r, w + 1))
        for j in range(w):
            none, lit = self._own(j)[:2]
            ended = over * (warm * self.fall[:, j]).sum(axis=1, keepdims=True)
            going = (1 - over) * np.einsum("rk,rkl->rl", warm, self.near * self.among[:, j])
            warm = lit * (begin * calm * self.ladder * self.rise[:, j] + going)
            calm = none * ((1 - begin) * calm * self.still[:, j, None] + ended)
            log, both = _scaled(log, np.concatenate([calm, warm], axis=1))
            calm, warm = both[:, :1], both[:, 1:]
            with np.errstate(divide="ignore"):
                logs[:, j + 1] = log + np.log(calm[:, 0])
        return logs, log + np.log(calm[:, 0] + warm.sum(axis=1))

    def after(self, begin: float, over: float) -> tuple[Array, Array]:
        """Return the likelihood of the rest of a row if the window shuts at each column: what is lit falls.

        By state, shape (w + 1, rows, states), up to a factor whose logarithm has shape (w + 1, rows).
        """
        (r, w), k = self.still.shape, len(self.ladder)
        rest, logs = np.ones((w + 1, r, 1 + 2 * k)), np.zeros((w + 1, r))
        warm = np.ones((r, k))
        for j in range(w - 1, -1, -1):
            none, lit, half = self._own(j)
            calm, sinking = none * rest[j + 1][:, :1], half * rest[j + 1][:, 1 + k :]
            warmed = lit * warm
            begun = begin * (self.ladder * self.rise[:, j] * warmed).sum(axis=1, keepdims=True)
            going = np.einsum("rkl,rl->rk", self.near * self.among[:, j], warmed)
            states = [
                (1 - begin) * self.still[:, j, None] * calm + begun,
                0.5 * (self.fall[:, j] * calm + self.half_fall[:, j] * sinking),
                (1 - LINGER) * self.half_fall[:, j] * calm + LINGER * self.half_stay[:, j] * sinking,
                over * self.fall[:, j] * calm + (1 - over) * going,
            ]
            logs[j], scaled = _scaled(logs[j + 1], np.concatenate(states, axis=1))
            rest[j], warm = scaled[:, : 1 + 2 * k], scaled[:, 1 + 2 * k :]
        return rest, logs

    def _own(self, j: int) -> tuple[Array, Array, Array]:
        k = len(self.ladder)
        return self.own[:, j, :1], self.own[:, j, 1 : 1 + k], self.own[:, j, 1 + k :]

    def opening(self, j: int) -> Array:
        """Return the moves from shade of the step in which the window opens, shape (rows, skies, states)."""
        k = len(self.ladder)
        share = self.share[:, j]
        move = np.zeros((*share.shape, 1 + 2 * k))
        out = 0.5 * share[:, :, None] * self.ladder
        move[:, :, 0] = (1 - share) * self.still[:, j, None]
        move[:, :, 1 : 1 + k] = out * self.rise[:, j, None]
        move[:, :, 1 + k :] = out * self.half_rise[:, j, None]
        return np.asarray(move * self.own[:, j, None, :])


def passages(
    steps: Chain,
    rows: NDArray[np.intp],
    first: NDArray[np.intp],
    width: int,
    edges: NDArray[np.intp],
    weights: Array,
    ladder: Array,
    step: int,
    change: float,
    told: Array | None = None,
    event_min: float = 0.0,
) -> Passage:
    """Return the likelihood of every place of both edges.

    Parameters
    ----------
    steps
        Densities of the record's steps.
    rows, first, width
        Which days, and the stretch of each (columns ``first`` to ``first + width``).
    edges
        Both edges as far as known, columns of the stretch, shape (rows, 2): each is held while the other is
        sought.
    weights
        Chances of the skies by row, shape (rows, 3), or (rows, 4) with ``told``.
    ladder
        Prior weights of the levels of excess, shape (k,).
    step
        Minutes of a step.
    change
        Chance per step that a lit probe's excess moves to another level.
    told
        Chance that the sun was out by cell of the whole grid: a fourth sky. None for three.
    event_min
        Chance a minute that something else warms the probe outside of the window. With none a door beside a
        window draws its edge out to itself. ``sun_against_chance`` has chance events of its own.
    """
    part = _Stretch.cut(steps, rows, first, width, ladder, step, change, told)
    events = event_min * step, min(OVER_MIN * step, 1.0)
    before, shut = part.before(*events)
    rest, log_rest = part.after(*events)
    entering = _backwards(part, before, shut, rest, log_rest, edges[:, 1])
    leaving = _forwards(part, before, shut, rest, log_rest, edges[:, 0])
    mix = np.log(weights)[:, :, None]
    return Passage(
        np.asarray(np.logaddexp.reduce(entering + mix, axis=1)),
        np.asarray(np.logaddexp.reduce(leaving + mix, axis=1)),
        shut,
        entering[np.arange(len(rows)), :, np.clip(edges[:, 0], 0, width)],
    )


def _backwards(
    part: _Stretch, before: Array, shut: Array, rest: Array, log_rest: Array, closes: NDArray[np.intp]
) -> Array:
    """Return the log likelihood of opening at each step, shape (rows, skies, w + 1)."""
    (r, w), skies, states = part.still.shape, part.share.shape[2], part.own.shape[2]
    back, log_back = np.ones((r, skies, states)), np.zeros((r, skies))
    entering = np.empty((r, skies, w + 1))
    entering[:, :, w] = shut[:, None]
    for j in range(w - 1, -1, -1):
        inside, last = np.asarray(j < closes)[:, None], np.asarray(j + 1 >= closes)[:, None]
        back = np.where(last[:, :, None], rest[j + 1][:, None], back)
        log_back = np.where(last, log_rest[j + 1][:, None], log_back)
        with np.errstate(divide="ignore"):
            here = before[:, None, j] + np.log((part.opening(j) * back).sum(axis=2)) + log_back
        entering[:, :, j] = np.where(inside, here, shut[:, None])
        log_back, back = _scaled(log_back, _through(part.opened(j), back))
    return entering


def _forwards(
    part: _Stretch, before: Array, shut: Array, rest: Array, log_rest: Array, opens: NDArray[np.intp]
) -> Array:
    """Return the log likelihood of being shut from each step on, shape (rows, skies, w + 1)."""
    (r, w), skies, states = part.still.shape, part.share.shape[2], part.own.shape[2]
    now, log_now = np.zeros((r, skies, states)), np.zeros((r, skies))
    now[:, :, 0] = 1.0
    leaving = np.empty((r, skies, w + 1))
    for j in range(w + 1):
        with np.errstate(divide="ignore"):
            here = np.log((now * rest[j][:, None]).sum(axis=2)) + log_now + log_rest[j][:, None]
        leaving[:, :, j] = np.where(np.asarray(j > opens)[:, None], here, shut[:, None])
        if j < w:
            first = np.asarray(j == opens)[:, None]
            log_now = np.where(first, before[:, None, j], log_now)
            after = np.einsum("rks,rkst->rkt", now, part.opened(j))
            after = np.where(first[:, :, None], part.opening(j), after)
            log_now, now = _scaled(log_now, after)
    return leaving


def _through(move: Array, back: Array) -> Array:
    return np.asarray(np.einsum("rkst,rkt->rks", move, back))


def _scaled(log: Array, values: Array) -> tuple[Array, Array]:
    total = values.max(axis=-1)
    return log + np.log(total), values / total[..., None]
