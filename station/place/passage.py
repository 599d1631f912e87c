"""When a window opened and closed on each day: the likelihood of every step as the moment of its edge.

Between its edges a window is open and the sun comes and goes with the clouds; outside them the probe is
shaded. The hidden chain gives each day's record a likelihood for every place of one edge, the other held,
with the day's sky (dull, mixed, clear) left open. A dull day says nothing; a clear day says a lot.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from station.place.chain import CHANGE, LINGER, Chain, neighbours

Array = NDArray[np.float64]

#: Skies: share of the time that the sun is out, and chance a minute that a cloud comes (common sense).
SKIES = ((0.04, 0.20), (0.45, 0.06), (0.93, 0.01))
#: Chance that a given window of a shaded day holds a warm event (common sense).
EVENTS = 0.1


def sky_weights(out: Array) -> Array:
    """Return the chances of dull, mixed and clear sky for each chance that the sun is out, shape (d, 3)."""
    share = np.clip(out, 0.06, 0.90)
    clear = np.clip((share - 0.1) / 0.8, 0.02, 0.96) ** 1.3
    dull = np.clip((0.9 - share) / 0.8, 0.02, 0.96) ** 1.3
    mixed = np.full(share.shape, 0.35)
    weights = np.stack([dull, mixed, clear], axis=-1)
    return np.asarray(weights / weights.sum(axis=-1, keepdims=True))


@dataclass(frozen=True)
class Passage:
    """Log likelihood of each step as an edge; in row i the window opens, or has closed, at ``first[i] + j``.

    ``entering`` and ``leaving`` have shape (rows, width + 1); ``shut`` is the log likelihood of no window, shape
    (rows,), and ``whole`` that of the window with both edges as given, under each sky, shape (rows, 3).
    """

    entering: Array
    leaving: Array
    shut: Array
    whole: Array


def sun_against_chance(found: Passage, weights: Array, events: float = EVENTS) -> Array:
    """Return for each row the log odds of a window of sun against shade with a rare warm event, shape (rows,).

    A hand on the probe or a draught lasts minutes: it is told like a gap in a dull sky.
    """
    short = found.whole[:, 0]
    dull = np.logaddexp(found.shut, short) - np.log(2)
    sun = np.logaddexp(np.log(weights[:, 0]) + dull,
                       np.logaddexp.reduce(np.log(weights[:, 1:]) + found.whole[:, 1:], axis=1))  # fmt: skip
    rare = np.logaddexp(np.log1p(-events) + found.shut, np.log(events) + short)
    return np.asarray(sun - rare)


def passages(
    steps: Chain,
    rows: NDArray[np.intp],
    first: NDArray[np.intp],
    width: int,
    edges: NDArray[np.intp],
    weights: Array,
    ladder: Array,
    step: int,
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
        Chances of the skies by row, shape (rows, 3).
    ladder
        Prior weights of the levels of excess, shape (k,).
    step
        Minutes of a step.
    """
    opens, closes = edges[:, 0], edges[:, 1]
    at = first[:, None] + np.arange(width)[None, :]  # (r, w)
    pick = lambda values: np.asarray(values[at, rows[:, None]], np.float64)  # noqa: E731
    still, rise, fall = pick(steps.still), pick(steps.rise), pick(steps.fall)
    half_rise, half_fall, half_stay = pick(steps.half_rise), pick(steps.half_fall), pick(steps.half_stay)
    among = pick(steps.among)
    r, w, k = rise.shape
    own = np.ones((r, w, 1 + 2 * k)) if steps.own is None else pick(steps.own)
    share = np.array([s for s, _ in SKIES])
    leave = np.clip(np.array([q for _, q in SKIES]) * step, 0, 0.6)
    enter = np.clip(share / (1 - share) * leave, 0, 0.6)
    near = neighbours(k)
    shade, lit, half = 0, slice(1, 1 + k), slice(1 + k, 1 + 2 * k)
    diag = np.arange(k)

    def opened(j: int) -> Array:
        """Moves inside the window, shape (r, sky, s, s)."""
        move = np.zeros((r, len(SKIES), 1 + 2 * k, 1 + 2 * k))
        move[:, :, 0, 0] = (1 - enter) * still[:, j, None]
        into = 0.5 * enter[None, :, None] * ladder
        move[:, :, 0, lit] = into * rise[:, j, None]
        move[:, :, 0, half] = into * half_rise[:, j, None]
        out = 0.5 * leave[None, :, None]
        move[:, :, lit, 0] = out * fall[:, j, None]
        move[:, :, 1 + diag, 1 + k + diag] = out * half_fall[:, j, None]
        move[:, :, lit, lit] = (1 - leave)[None, :, None, None] * (near * among[:, j])[:, None]
        move[:, :, half, 0] = 0.5 * (1 - LINGER) * half_fall[:, j, None]
        move[:, :, 1 + k + diag, 1 + diag] = 0.5 * (1 - LINGER) * half_rise[:, j, None]
        move[:, :, 1 + k + diag, 1 + k + diag] = LINGER * half_stay[:, j, None]
        return move * own[:, j, None, None, :]

    def closing(j: int) -> Array:
        """The step in which the window closes and those after it: what is lit falls."""
        move = np.zeros((r, 1, 1 + 2 * k, 1 + 2 * k))
        move[:, :, 0, 0] = still[:, j, None]
        move[:, :, lit, 0] = 0.5 * fall[:, j, None]
        move[:, :, 1 + diag, 1 + k + diag] = 0.5 * half_fall[:, j, None]
        move[:, :, half, 0] = (1 - LINGER) * half_fall[:, j, None]
        move[:, :, 1 + k + diag, 1 + k + diag] = LINGER * half_stay[:, j, None]
        return move * own[:, j, None, None, :]

    def opening(j: int) -> Array:
        """The step in which the window opens, from shade, shape (r, sky, s)."""
        move = np.zeros((r, len(SKIES), 1 + 2 * k))
        move[:, :, 0] = (1 - share) * still[:, j, None]
        move[:, :, lit] = 0.5 * share[None, :, None] * ladder * rise[:, j, None]
        move[:, :, half] = 0.5 * share[None, :, None] * ladder * half_rise[:, j, None]
        return move * own[:, j, None, :]

    quiet = np.log(still * own[:, :, 0])  # (r, w)
    before = np.concatenate([np.zeros((r, 1)), np.cumsum(quiet, axis=1)], axis=1)  # shaded up to a step
    # Backwards from the end with the closing edge held: what follows each place of the opening edge.
    back = np.ones((r, len(SKIES), 1 + 2 * k))
    log_back = np.zeros((r, len(SKIES)))
    tail = np.ones((r, 1, 1 + 2 * k))  # the same, shut
    log_tail = np.zeros((r, 1))
    tails = np.empty((w + 1, r, 1 + 2 * k))
    log_tails = np.empty((w + 1, r))
    tails[w], log_tails[w] = tail[:, 0], 0.0
    entering = np.full((r, len(SKIES), w + 1), -np.inf)
    entering[:, :, w] = before[:, None, w]
    for j in range(w - 1, -1, -1):
        shut_move = closing(j)
        inside = (j < closes)[:, None, None]
        here = opening(j)
        with np.errstate(divide="ignore"):
            entering[:, :, j] = np.where(
                (j < closes)[:, None],
                before[:, None, j] + np.log((here * back).sum(axis=2)) + log_back,
                before[:, None, w],
            )
        move = np.where(inside[..., None], opened(j), shut_move)
        back = np.einsum("rkst,rkt->rks", move, back, optimize=False)
        total = back.max(axis=2)
        back, log_back = back / total[..., None], log_back + np.log(total)
        tail = np.einsum("rkst,rkt->rks", shut_move, tail, optimize=False)
        total = tail.max(axis=2)
        tail, log_tail = tail / total[..., None], log_tail + np.log(total)
        tails[j], log_tails[j] = tail[:, 0], log_tail[:, 0]
    # Forwards with the opening edge held: what led to each place of the closing edge.
    now = np.zeros((r, len(SKIES), 1 + 2 * k))
    now[:, :, shade] = 1.0
    log_now = np.zeros((r, len(SKIES)))
    leaving = np.full((r, len(SKIES), w + 1), -np.inf)
    for j in range(w):
        with np.errstate(divide="ignore"):
            leaving[:, :, j] = np.log((now * tails[j][:, None]).sum(axis=2)) + log_now + log_tails[j][:, None]
        shut_move, open_move = closing(j), opened(j)
        open_move = np.where((j == opens)[:, None, None, None], 0.0, open_move)
        first_move = opening(j)
        move = np.where((j < opens)[:, None, None, None], shut_move, open_move)
        after = np.einsum("rks,rkst->rkt", now, move, optimize=False)
        after = np.where((j == opens)[:, None, None], now[:, :, :1] * first_move, after)
        total = after.max(axis=2)
        now, log_now = after / total[..., None], log_now + np.log(total)
    leaving[:, :, w] = np.log(now.sum(axis=2)) + log_now
    mix = np.log(weights)[:, :, None]
    whole = entering[np.arange(r), :, np.clip(opens, 0, w)]
    return Passage(
        np.logaddexp.reduce(entering + mix, axis=1),
        np.logaddexp.reduce(leaving + mix, axis=1),
        before[:, w],
        whole,
    )
