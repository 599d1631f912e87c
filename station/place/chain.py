"""The hidden chain: how warm the sun keeps the probe above the air, from differences of the record.

The state is the excess: none, one of a ladder of levels, or half-way between none and a level, because
the sun's disc takes two minutes to pass an edge and the probe follows with its lag. The record's change
from one step to the next is the change of the excess plus air that wanders, so slow drift cancels; gusts
make a lit probe noisier the warmer it is; Student's t with four degrees of freedom lets single jumps pass.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Array32 = NDArray[np.float32]

#: Levels of excess [degC]; the ladder's spacing matches the scatter that gusts give.
LEVELS = np.array([0.8, 1.2, 1.8, 2.6, 3.8, 5.5, 8.0, 11.5])
#: Scatter of a lit probe from step to step, as a share of its excess: from still air to an open field; each
#: record chooses (the ladder and the chances below were tuned on seeds apart). Where the least is more than
#: the record's own, hours of strong steady sun cost more than its two edges and read as shade (with 0.01 8 of
#: 192 made records without gusts did).
GUSTS = (0.005, 0.03, 0.06, 0.12, 0.20)
#: Scatter of a jump as a share of the excess: when in the step the edge passed, and the probe's lag.
EDGE = 0.15
#: Chance per step that a lit probe's excess moves to another level, by gusts and thin cloud; and where that
#: is rare, for the former takes a calm hour in the sun for shade. While openings are sought each record
#: chooses (tuned; 0.02 for a third changes little).
CHANGE, CHANGE_CALM = 0.1, 0.005
#: Weight of a way in or out without a jump while the sun stands low (tuned).
SLOW = 0.6
#: Chance per step of staying half-way.
LINGER = 0.1


@dataclass(frozen=True)
class Chain:
    """Density of each step of the record for each move of the state; (m, d, k), ``among`` (m, d, k, k)."""

    still: Array32  # (m, d): no excess before and after
    rise: Array32  # none to level
    fall: Array32
    half_rise: Array32  # none to half, and half to level (the same jump, with its own scatter)
    half_fall: Array32
    half_stay: Array32
    among: Array32
    own: Array | None  # (m, d, 1 + 2k): evidence of each state by itself

    def without(self, cells: NDArray[np.bool_]) -> Chain:
        """Return the densities as if some cells, shape (d, m), had not been recorded."""
        parts: dict[str, Any] = {f.name: getattr(self, f.name) for f in fields(self)}
        for name, density in parts.items():
            if density is not None:
                parts[name] = np.where(cells.T.reshape(*cells.T.shape, *[1] * (density.ndim - 2)), 1, density)
        return Chain(**parts)


@dataclass(frozen=True)
class Lit:
    """What the chain says: lit at all, shape (d, m), each level, shape (d, m, k), and how well it fits."""

    probability: Array
    levels: Array
    log_evidence: float


def student(x: Array32, scale2: Array32) -> Array32:
    """Return Student's density with four degrees of freedom, up to a factor."""
    q = 1 + x * x / (4 * scale2)
    return np.asarray(1 / (q * q * np.sqrt(q * scale2)))


def neighbours(k: int, change: float) -> Array:
    """Return the chances of moving among ``k`` levels in a step, near ones before far ones."""
    gap = np.abs(np.subtract.outer(np.arange(k), np.arange(k)))
    near = np.exp(-gap / 1.5)
    np.fill_diagonal(near, 0)
    return np.asarray(near / near.sum(axis=1, keepdims=True) * change + np.eye(k) * (1 - change))


def evidence(
    celsius: Array, noise: Array, gust: float, low: NDArray[np.bool_], own: Array | None = None
) -> Chain:
    """Return the density of every step.

    Parameters
    ----------
    celsius
        Record on the grid, shape (d, m), degC.
    noise
        Scatter of the shaded record's steps, same shape, degC.
    gust
        Scatter of a lit probe's steps as a share of its excess.
    low
        Where the sun is so low that the beam comes and goes slowly, same shape.
    own
        Log evidence of the states none, levels, halves by themselves, shape (d, m, 1 + 2k), or None.
    """
    step = np.diff(celsius, axis=1, prepend=np.nan).T.astype(np.float32)
    known = np.isfinite(step)
    dy = np.where(known, step, 0)[:, :, None]
    base = (noise.T**2).astype(np.float32)[:, :, None]
    x = LEVELS.astype(np.float32)
    wide = base + (gust * x) ** 2
    edge = base + (EDGE * x) ** 2
    rise, fall = student(dy - x, edge), student(dy + x, edge)
    calm = student(dy, wide)
    slow = np.where(low.T[:, :, None], SLOW * calm, 0)
    middle = 0.5 * (x[:, None] + x[None, :])
    among = student(dy[..., None] - (x[None, :] - x[:, None]), base[..., None] + (gust * middle) ** 2)

    def where(density: Array32) -> Array32:
        return np.where(known[:, :, None], density, 1.0)

    return Chain(
        still=where(student(dy, base))[:, :, 0],
        rise=where(np.maximum(rise, slow)),
        fall=where(np.maximum(fall, slow)),
        half_rise=where(student(dy - 0.5 * x, edge)),
        half_fall=where(student(dy + 0.5 * x, edge)),
        half_stay=where(student(dy, wide)),
        among=np.where(known[:, :, None, None], among, 1.0),
        own=None if own is None else np.exp(own.transpose(1, 0, 2)),
    )


def keeping_up(p: Array, leave: Array) -> tuple[Array, Array]:
    """Return chances of coming and of leaving a step that keep to a chance of being lit as it changes.

    Where ``p`` (steps first) is level, light goes with ``leave`` and comes as often; where it falls or rises,
    light goes or comes at that step and not at any.
    """
    before = np.concatenate([p[:1], p[:-1]])
    leave = np.clip(np.maximum(leave, 1 - p / before), 0.0, 0.97)
    return np.clip((p - before * (1 - leave)) / (1 - before), 1e-7, 0.97), leave


def smooth(
    chain: Chain,
    occupancy: Array,
    geometry: Array,
    ladder: Array,
    step: int,
    change: float,
    told: NDArray[np.bool_] | None = None,
) -> Lit:
    """Return the probability of each level.

    Parameters
    ----------
    chain
        From ``evidence``.
    occupancy
        Prior probability that the probe is lit, shape (d, m).
    geometry
        Prior probability that the opening lets the sun in, clouds apart; leaving is quick where it doesn't.
    ladder
        Prior weights of the levels, shape (k,).
    step
        Minutes of a step.
    change
        Chance per step that a lit probe's excess moves to another level.
    told
        Where ``occupancy`` changes when the sun comes and goes, shape (d, m); None for nowhere.
    """
    m, d, k = chain.rise.shape
    leave = np.clip((0.03 + 0.25 * np.clip(1 - geometry / 0.04, 0, 1)) * step, 0, 0.6).T
    p = np.clip(occupancy.T, 1e-6, 0.97)
    enter = np.clip(p / (1 - p) * leave, 0, 0.6)
    if told is not None:
        enter, leave = (
            np.where(told.T, new, old) for new, old in zip(keeping_up(p, leave), (enter, leave), strict=True)
        )
    near = neighbours(k, change)
    s = 1 + 2 * k
    lv, hf = slice(1, 1 + k), slice(1 + k, s)
    move = np.zeros((m, d, s, s), np.float32)
    diag = np.arange(k)
    move[:, :, 0, 0] = (1 - enter) * chain.still
    into = 0.5 * enter[:, :, None] * ladder
    move[:, :, 0, lv] = into * chain.rise
    move[:, :, 0, hf] = into * chain.half_rise
    out = 0.5 * leave[:, :, None]
    move[:, :, lv, 0] = out * chain.fall
    move[:, :, 1 + diag, 1 + k + diag] = out * chain.half_fall
    move[:, :, lv, lv] = (1 - leave)[:, :, None, None] * near * chain.among
    move[:, :, hf, 0] = 0.5 * (1 - LINGER) * chain.half_fall
    move[:, :, 1 + k + diag, 1 + diag] = 0.5 * (1 - LINGER) * chain.half_rise
    move[:, :, 1 + k + diag, 1 + k + diag] = LINGER * chain.half_stay
    if chain.own is not None:
        move *= chain.own[:, :, None, :]
    forward = np.empty((m, d, s), np.float32)
    now = np.concatenate([1 - p[0][:, None], p[0][:, None] * ladder, np.zeros((d, k))], axis=1).astype(
        np.float32
    )
    fit = 0.0
    for i in range(m):
        now = np.matmul(now[:, None, :], move[i])[:, 0, :]
        total = now.sum(axis=1, keepdims=True)
        now /= total
        fit += float(np.log(total).sum())
        forward[i] = now
    back = np.ones((d, s), np.float32)
    for i in range(m - 1, -1, -1):
        forward[i] *= back
        back = np.matmul(move[i], back[:, :, None])[:, :, 0]
        back /= back.sum(axis=1, keepdims=True)
    forward /= forward.sum(axis=2, keepdims=True)
    levels = (forward[:, :, lv] + 0.5 * forward[:, :, hf]).transpose(1, 0, 2).astype(np.float64)
    return Lit(levels.sum(axis=2), levels, fit)
