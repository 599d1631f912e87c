"""How likely a written pair of values is under each cause, as log probability of the cell it falls in.

Every cause is a rule that says what the eye saw before it was written: the honest pair is normal about the
expected column, both scales sharing the column's own wander; a slip maps the written pair back to that pair.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np
import numpy.typing as npt
from scipy.special import logsumexp

from station.findings.evidence import Evidence
from station.findings.plates import SLIPS_C, log_plates

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]

#: Small honest wander of one column about what is expected: own bias, minutes, place [degC].
WANDER_C = 0.25
#: Range over which an unexplained value may fall [degC].
RANGE_C = 80.0
#: A moved column: warm moves decay over this [degC], cool ones over that; share of warm moves (invented).
WARM_C, COOL_C, WARM_SHARE = 3.0, 1.5, 0.8
#: Moves tried [degC].
MOVES_C = np.concatenate((np.arange(-6.0, 0.0, 0.25), np.arange(0.25, 20.25, 0.25)))
#: Chance that the second look at the same scale gives the same number, or one unit off to either side.
SAME, NEXT = 0.9, 0.05
#: A lost minus moves so small a number by no more than misread marks do, so that it can't be told [degC];
#: what is left of it there.
SMALL_C, NEAR_ZERO = 1.5, 0.03
#: A column less certain than this is hardly known [degC].
KNOWN_C = 1.0
#: Least log probability of anything, so that a cause is never impossible beyond doubt.
FLOOR = -60.0


def _move_weights() -> Floats:
    warm = np.where(MOVES_C > 0, np.exp(-MOVES_C / WARM_C) / WARM_C, 0.0) * WARM_SHARE
    cool = np.where(MOVES_C < 0, np.exp(MOVES_C / COOL_C) / COOL_C, 0.0) * (1.0 - WARM_SHARE)
    # a move under about one degree is what honest wander is, so it hardly counts as one
    weight = (warm + cool) / (1.0 + np.exp(-(np.abs(MOVES_C) - 1.0) / 0.2))
    return np.asarray(weight / weight.sum())


_WEIGHTS = _move_weights()


class Cells:
    """Log probabilities of the written cells of all readings."""

    def __init__(
        self, evidence: Evidence, bias: Floats, wander: Floats, scatter: Floats, rounds: Bools
    ) -> None:
        """Take the expected column, each reading's usual bias and wander, and its scatter a scale [degC].

        ``rounds``: the team rounds to fives and tens, so that its cells are that wide.
        """
        self.e = evidence
        self.mean = evidence.expected + bias
        self.var = evidence.u**2 + wander**2
        self.var_c = scatter**2 + evidence.c_mark**2 / 12.0
        self.var_f = scatter**2 + evidence.f_mark**2 / 12.0
        self.cell_c = np.log(np.where(rounds & (evidence.written_c % 5 == 0), 5.0, evidence.c_mark))
        self.cell_f = np.log(np.where(rounds & (evidence.written_f % 10 == 0), 10.0 / 1.8, evidence.f_mark))
        self.plate_f = evidence.written_f - (evidence.f * 1.8 + 32.0)

    def _one(self, value: Floats, variance: Floats, cell: Floats, move: Floats | float = 0.0) -> Floats:
        total = self.var + variance
        z = value - self.mean - move
        return np.asarray(-0.5 * (z**2 / total + np.log(2 * np.pi * total)) + cell)

    def pair(self, c: Floats, f: Floats, move: Floats | float = 0.0) -> Floats:
        """Return the log probability of reading ``c`` and ``f`` (both degC) off one honest column.

        A missing scale is left out; ``move`` shifts the column.
        """
        det = self.var * (self.var_c + self.var_f) + self.var_c * self.var_f
        a, b = c - self.mean - move, f - self.mean - move
        square = (self.var + self.var_f) * a**2 - 2 * self.var * a * b + (self.var + self.var_c) * b**2
        both = -0.5 * (square / det + np.log(det)) - np.log(2 * np.pi) + self.cell_c + self.cell_f
        only_c = self._one(c, self.var_c, self.cell_c, move)
        only_f = self._one(f, self.var_f, self.cell_f, move)
        out = np.where(np.isnan(f), only_c, np.where(np.isnan(c), only_f, both))
        return np.where(np.isnan(f) & np.isnan(c), 0.0, out)

    def moved(self, sign: int) -> Floats:
        """Return the log probability under a column moved up (+1) or down (-1) by any amount."""
        keep = MOVES_C * sign > 0
        weights = _WEIGHTS[keep] / _WEIGHTS[keep].sum()
        grid = np.stack([self.pair(self.e.c, self.e.f, m) for m in MOVES_C[keep]])
        return np.asarray(logsumexp(grid, axis=0, b=weights[:, None]))


def _either(first: Floats, second: Floats, share: float = 0.5) -> Floats:
    return np.asarray(np.logaddexp(first + np.log(share), second + np.log(1.0 - share)))


def log_likelihoods(
    evidence: Evidence, bias: Floats, wander: Floats, scatter: Floats, rounds: Bools
) -> Mapping[tuple[str, str], Floats]:
    """Return (kind, side) -> log probability of each reading; ("", "") is honest.

    ``side`` is "celsius" or "fahrenheit" where a slip falls on one scale, "up" or "down" for the column.
    """
    e = evidence
    cells = Cells(e, bias, wander, scatter, rounds)
    c, f, wc, wf = e.c, e.f, e.written_c, e.written_f
    both = np.isfinite(c) & np.isfinite(f)
    plate = cells.plate_f

    def as_f(value: Floats) -> Floats:
        return (value - plate - 32.0) / 1.8

    flat_c = cells.cell_c - np.log(RANGE_C)
    flat_f = cells.cell_f - np.log(RANGE_C)
    # too few readings of a thermometer leave its plate in doubt, and the doubt belongs to the honest pair
    shifted = np.stack([cells.pair(c, f + slip_c) for slip_c in SLIPS_C], axis=1)
    honest = np.asarray(logsumexp(shifted + log_plates(e), axis=1))
    out: dict[tuple[str, str], Floats] = {("", ""): honest}
    out["column", "up"] = cells.moved(1)
    out["column", "down"] = cells.moved(-1)
    out["scales_swapped", ""] = np.where(both, cells.pair(wf, as_f(wc)), FLOOR)
    near = np.abs(wf - wc)
    again = np.log(np.where(near < 0.5, SAME, np.where(near < 1.5, NEXT, 1e-9)))
    nothing = np.full(c.size, np.nan)
    twice = _either(cells.pair(wc, nothing), cells.pair(nothing, as_f(wf)))
    out["same_scale_twice", ""] = np.where(both, twice + again, FLOOR)
    minus = cells.pair(-wc, f) + np.where(wc <= SMALL_C, np.log(NEAR_ZERO), 0.0)
    out["minus_dropped", ""] = np.where(wc > 0, minus, FLOOR)
    out["digits_transposed", "celsius"] = _where_changed(cells.pair(_swapped_digits(wc), f), wc)
    out["digits_transposed", "fahrenheit"] = _where_changed(cells.pair(c, as_f(_swapped_digits(wf))), wf)
    for side in ("celsius", "fahrenheit"):
        on_c = side == "celsius"
        value = wc if on_c else wf
        step = e.c_numbered if on_c else e.f_numbered

        def back(seen: Floats, on_c: bool = on_c) -> Floats:
            return cells.pair(seen, f) if on_c else cells.pair(c, as_f(seen))

        out["ten_off", side] = _either(back(value - step), back(value + step))
        marks = e.c_mark if on_c else e.f_mark * 1.8
        out["counted_wrong_way", side] = _wrong_way(back, value, step, marks, about_zero=not on_c)
        mark = e.c_mark if on_c else e.f_mark * 1.8
        past = value - np.floor(value / step) * step
        can = (past > 0) & (past <= step / 2) & (mark >= 2.0)
        halved = np.where(can, back(value + past), FLOOR)
        out["small_marks", side] = halved
        free = cells.pair(nothing, f) + flat_c if on_c else cells.pair(c, nothing) + flat_f
        out["unexplained", side] = free
        single = np.isfinite(value)
        for kind in ("ten_off", "counted_wrong_way", "small_marks", "unexplained"):
            out[kind, side] = np.where(single, out[kind, side], FLOOR)
    out["unexplained", ""] = np.where(both, flat_c + flat_f, FLOOR)
    before = e.previous
    same = (before >= 0) & both & (wc == wc[before]) & (wf == wf[before])
    out["copied_last_session", ""] = np.where(same, 0.0, FLOOR)
    out["another_card", ""] = _log_share_alike(e, both)
    return {key: np.maximum(np.nan_to_num(value, nan=FLOOR), FLOOR) for key, value in out.items()}


def _log_share_alike(e: Evidence, both: Bools) -> Floats:
    """Return the log share of the session's other cards that hold the very same pair.

    Where the column is hardly known, agreement is what honest cards show, and nothing is said.
    """
    out = np.full(e.c.size, FLOOR)
    for s in range(len(e.sessions)):
        mine = np.flatnonzero((e.session == s) & both)
        if mine.size < 2:
            continue
        same = e.written_c[mine, None] == e.written_c[mine]
        same &= e.written_f[mine, None] == e.written_f[mine]
        share = (same.sum(axis=1) - 1) / (mine.size - 1)
        out[mine] = np.where(e.u[mine] < KNOWN_C, np.log(np.maximum(share, 1e-30)), FLOOR)
    return out


def _wrong_way(
    back: Callable[[Floats], Floats], value: Floats, step: Floats, mark: Floats, *, about_zero: bool
) -> Floats:
    """Return the log probability of a count backwards from the mark below, or onwards from the one above.

    Counted up from the zero of Celsius gives the number that a dropped minus gives; it is told as that.
    """
    parts = []
    near = np.round(value / step) * step
    for shift in (-1.0, 0.0, 1.0):
        turn = near + shift * step
        seen = 2.0 * turn - value
        away = np.abs(seen - turn)
        fits = (away <= step) & (away >= mark) & ((turn != 0.0) | about_zero)
        share = np.where(seen > turn, 0.6, 0.4)
        parts.append(np.where(fits, back(seen) + np.log(share), FLOOR))
    return np.asarray(logsumexp(np.stack(parts), axis=0))


def _swapped_digits(value: Floats) -> Floats:
    whole = np.floor(np.abs(np.nan_to_num(value)))
    turned = whole % 10 * 10 + whole // 10
    ok = np.isfinite(value) & (whole >= 1) & (whole <= 99) & (np.abs(value) == whole)
    return np.where(ok, np.sign(value) * turned, np.nan)


def _where_changed(log_p: Floats, value: Floats) -> Floats:
    turned = _swapped_digits(value)
    return np.where(np.isfinite(turned) & (turned != value), log_p, FLOOR)
