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

    def _empty(self, skies: int) -> Array:
        size = self.own.shape[2]
        return np.zeros((len(self.own), skies, size, size))

    def opened(self, j: int) -> Array:
        """Return the moves of a step inside the window, shape (rows, skies, states, states)."""
        k = len(self.ladder)
        lit, half, diag = slice(1, 1 + k), slice(1 + k, 1 + 2 * k), np.arange(k)
        enter, leave = self.enter[:, j], self.leave[:, j]
        move = self._empty(enter.shape[1])
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

    def shut(self, j: int) -> Array:
        """Return the moves of a step from which on the window is shut: what is lit falls; one sky."""
        k = len(self.ladder)
        lit, half, diag = slice(1, 1 + k), slice(1 + k, 1 + 2 * k), np.arange(k)
        move = self._empty(1)
        move[:, :, 0, 0] = self.still[:, j, None]
        move[:, :, lit, 0] = 0.5 * self.fall[:, j, None]
        move[:, :, 1 + diag, 1 + k + diag] = 0.5 * self.half_fall[:, j, None]
        move[:, :, half, 0] = (1 - LINGER) * self.half_fall[:, j, None]
        move[:, :, 1 + k + diag, 1 + k + diag] = LINGER * self.half_stay[:, j, None]
        return np.asarray(move * self.own[:, j, None, None, :])

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
    """
    part = _Stretch.cut(steps, rows, first, width, ladder, step, change, told)
    quiet = np.log(part.still * part.own[:, :, 0])
    before = np.concatenate([np.zeros((len(rows), 1)), np.cumsum(quiet, axis=1)], axis=1)
    entering, tails, log_tails = _backwards(part, before, edges[:, 1])
    leaving = _forwards(part, tails, log_tails, edges[:, 0])
    mix = np.log(weights)[:, :, None]
    return Passage(
        np.asarray(np.logaddexp.reduce(entering + mix, axis=1)),
        np.asarray(np.logaddexp.reduce(leaving + mix, axis=1)),
        before[:, width],
        entering[np.arange(len(rows)), :, np.clip(edges[:, 0], 0, width)],
    )


def _backwards(part: _Stretch, before: Array, closes: NDArray[np.intp]) -> tuple[Array, Array, Array]:
    """Return the log likelihood of opening at each step, and of what follows if shut from each step on.

    Shapes (rows, skies, w + 1), (w + 1, rows, states) up to a factor, and its logarithm (w + 1, rows).
    """
    (r, w), skies, states = part.still.shape, part.share.shape[2], part.own.shape[2]
    back, log_back = np.ones((r, skies, states)), np.zeros((r, skies))
    tails, log_tails = np.ones((w + 1, r, states)), np.zeros((w + 1, r))
    entering = np.empty((r, skies, w + 1))
    entering[:, :, w] = before[:, None, w]
    for j in range(w - 1, -1, -1):
        inside = np.asarray(j < closes)[:, None]
        with np.errstate(divide="ignore"):
            here = before[:, None, j] + np.log((part.opening(j) * back).sum(axis=2)) + log_back
        entering[:, :, j] = np.where(inside, here, before[:, None, w])
        shut = part.shut(j)
        back = _through(np.where(inside[:, :, None, None], part.opened(j), shut), back)
        log_back, back = _scaled(log_back, back)
        tail = _through(shut, tails[j + 1][:, None])
        log_tail, tail = _scaled(log_tails[j + 1][:, None], tail)
        tails[j], log_tails[j] = tail[:, 0], log_tail[:, 0]
    return entering, tails, log_tails


def _forwards(part: _Stretch, tails: Array, log_tails: Array, opens: NDArray[np.intp]) -> Array:
    """Return the log likelihood of being shut from each step on, shape (rows, skies, w + 1)."""
    (r, w), skies, states = part.still.shape, part.share.shape[2], part.own.shape[2]
    now, log_now = np.zeros((r, skies, states)), np.zeros((r, skies))
    now[:, :, 0] = 1.0
    leaving = np.empty((r, skies, w + 1))
    for j in range(w + 1):
        with np.errstate(divide="ignore"):
            leaving[:, :, j] = np.log((now * tails[j][:, None]).sum(axis=2)) + log_now + log_tails[j][:, None]
        if j < w:
            shut_now = np.asarray(j < opens)[:, None, None, None]
            here = np.where(shut_now, part.shut(j), part.opened(j))
            after = np.einsum("rks,rkst->rkt", now, here)
            after = np.where(np.asarray(j == opens)[:, None, None], now[:, :, :1] * part.opening(j), after)
            log_now, now = _scaled(log_now, after)
    return leaving


def _through(move: Array, back: Array) -> Array:
    return np.asarray(np.einsum("rkst,rkt->rks", move, back))


def _scaled(log: Array, values: Array) -> tuple[Array, Array]:
    total = values.max(axis=2)
    return log + np.log(total), values / total[..., None]
