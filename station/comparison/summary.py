"""From the crossed fit to what is said of each team and thermometer, with its zero and its 95 % limits.

Zeros: a team's bias is relative to the robust centre of the class, a thermometer's offset to the box check
where there is one, else to the robust centre of the box. What all share against the probe is ``common``;
the limits of biases and offsets leave it out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from station.base.robust import huber_location, madn
from station.comparison import network
from station.comparison.effects import Crossed, Limits, centre_weights, fit
from station.comparison.segments import Segments

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

NOTHING = Limits(math.nan, math.nan, math.nan)


@dataclass(frozen=True)
class Effects:
    """Everything the crossed fit says.

    ``teams``: team, readings, bias, bias_low, bias_high, spread, separable. ``segments``: team, from, to,
    change, readings, bias, bias_low, bias_high. ``thermometers``: number, readings, offset, offset_low,
    offset_high, separable. ``common``: what all share against the probe. ``offset`` per reading (NaN where
    its thermometer's is not known), ``slip`` and ``rest`` per reading as in ``Crossed``.
    """

    teams: pd.DataFrame
    segments: pd.DataFrame
    thermometers: pd.DataFrame
    common: Limits
    separable: bool
    offset: Floats
    slip: npt.NDArray[np.bool_]
    rest: Floats


def summarise(
    error: Floats,
    indication: Floats,
    session: Ints,
    segments: Segments,
    numbers: pd.Series,
    *,
    trusted: npt.NDArray[np.bool_],
    shared_u_c: float,
    checked: pd.Series,
) -> Effects:
    """Fit the class and put every effect on its zero.

    Parameters
    ----------
    error, indication : ndarray, shape (n,)
        Error where there is a reference, else NaN; indication [degC], NaN where nothing was read.
    session : ndarray of int, shape (n,)
        Codes.
    segments : Segments
        Of the same readings.
    numbers : Series of str, shape (n,)
        Thermometer numbers, "" where unknown.
    trusted : ndarray of bool, shape (n,)
        Readings whose reference carries no doubt; only they tell what all share against the probe.
    shared_u_c : float
        Standard uncertainty that all references share [degC].
    checked : Series
        Offsets from the box check by number [degC]; empty where there was none.
    """
    names = sorted((n for n in numbers.unique() if n), key=by_number)
    index = {name: i for i, name in enumerate(names)}
    number = numbers.map(index).fillna(-1).to_numpy(np.int64)
    n_sessions = int(session.max()) + 1 if session.size else 0
    n_units = len(segments.table)
    y = _response(error, indication, session, n_sessions)
    use = np.isfinite(y)
    if not use.any():
        return _nothing(segments, names, y.size)
    crossed = fit(
        y[use], session[use], segments.unit[use], number[use],
        (n_sessions, n_units, len(names)), segments.team_code,
    )  # fmt: skip
    slip = np.zeros(y.size, dtype=bool)
    slip[use] = crossed.slip
    rest = np.full(y.size, math.nan)
    rest[use] = crossed.rest
    kept = use & ~slip

    team_of = segments.team_code[segments.unit]
    team_part, number_part = network.parts(
        team_of[kept].astype(np.int64), number[kept], len(segments.teams), len(names)
    )
    main = network.largest(team_part)
    unit_n = np.bincount(segments.unit[kept], minlength=n_units).astype(np.float64)
    team_n = np.bincount(team_of[kept], minlength=len(segments.teams))
    number_n = np.bincount(number[kept & (number >= 0)], minlength=len(names))

    # rows of weights over the stacked effects (units, then numbers)
    team_rows = np.zeros((len(segments.teams), n_units + len(names)))
    share = np.divide(unit_n, team_n[segments.team_code], out=np.zeros(n_units), where=unit_n > 0)
    team_rows[segments.team_code, np.arange(n_units)] = share
    number_rows = np.zeros((len(names), n_units + len(names)))
    number_rows[np.arange(len(names)), n_units + np.arange(len(names))] = 1.0
    stacked = np.concatenate((crossed.units, crossed.numbers))

    in_main = (team_part == main) & (team_part >= 0) & (team_n > 0)
    team_zero = _centre(team_rows, stacked, in_main)
    number_ok = (number_part == main) & (number_n > 0)
    box_zero = _centre(number_rows, stacked, number_ok)
    shift = 0.0
    known = [n for n, ok in zip(names, number_ok, strict=True) if ok and n in checked.index]
    if known:
        rows = number_rows[[index[n] for n in known]]
        box_zero = rows.mean(axis=0)
        shift = float(checked.loc[known].mean())

    def limits(row: Floats, zero: Floats, ok: bool, plus: float = 0.0) -> Limits:
        if not ok:
            return NOTHING
        found = crossed.contrast(row - zero)
        return Limits(found.value + plus, found.low + plus, found.high + plus)

    team_limits = [limits(r, team_zero, bool(ok)) for r, ok in zip(team_rows, in_main, strict=True)]
    unit_limits = [
        limits(
            np.eye(1, stacked.size, u)[0], team_zero, bool(in_main[segments.team_code[u]] and unit_n[u] > 0)
        )
        for u in range(n_units)
    ]
    number_limits = [
        limits(r, box_zero, bool(ok), shift) for r, ok in zip(number_rows, number_ok, strict=True)
    ]
    offsets = np.array([found.value for found in number_limits] + [math.nan])

    teams = _table(team_limits, "bias").assign(separable=in_main)
    teams.insert(0, "team", list(segments.teams))
    teams.insert(1, "readings", np.bincount(team_of[use], minlength=len(segments.teams)))
    teams["spread"] = [_spread(rest[kept & (team_of == t)]) for t in range(len(segments.teams))]
    pieces = pd.concat([segments.table, _table(unit_limits, "bias")], axis=1)
    pieces.insert(4, "readings", np.bincount(segments.unit[use], minlength=n_units))
    thermometers = _table(number_limits, "offset").assign(separable=number_ok)
    thermometers.insert(0, "number", names)
    thermometers.insert(1, "readings", np.bincount(number[use & (number >= 0)], minlength=len(names)))
    return Effects(
        teams=teams,
        segments=pieces,
        thermometers=thermometers,
        common=_common(crossed, session, trusted & kept, team_zero + box_zero, stacked, shift, shared_u_c),
        separable=bool(in_main.any() and in_main[team_n > 0].all()),
        offset=offsets[number],
        slip=slip,
        rest=rest,
    )


def _nothing(segments: Segments, names: list[str], size: int) -> Effects:
    """Return the effects of a recording in which nothing was read: every name, and no value."""
    teams = _table([NOTHING] * len(segments.teams), "bias").assign(separable=False, spread=math.nan)
    teams.insert(0, "team", list(segments.teams))
    teams.insert(1, "readings", 0)
    pieces = pd.concat([segments.table, _table([NOTHING] * len(segments.table), "bias")], axis=1)
    pieces.insert(4, "readings", 0)
    thermometers = _table([NOTHING] * len(names), "offset").assign(separable=False)
    thermometers.insert(0, "number", names)
    thermometers.insert(1, "readings", 0)
    unknown = np.full(size, math.nan)
    return Effects(
        teams=teams,
        segments=pieces,
        thermometers=thermometers,
        common=NOTHING,
        separable=False,
        offset=unknown,
        slip=np.zeros(size, dtype=bool),
        rest=unknown,
    )


def by_number(number: str) -> tuple[int, float, str]:
    """Sort key of thermometer numbers: numbers by size, then labels by letter."""
    return (0, float(number), number) if number.isdecimal() else (1, 0.0, number)


def _response(error: Floats, indication: Floats, session: Ints, n_sessions: int) -> Floats:
    """Return the errors; in a session without reference, indications about its median."""
    y = error.copy()
    for s in range(n_sessions):
        mine = (session == s) & np.isfinite(indication)
        if mine.any() and not np.isfinite(error[mine]).all():
            y[mine] = indication[mine] - np.median(indication[mine])
    return y


def _centre(rows: Floats, stacked: Floats, inside: npt.NDArray[np.bool_]) -> Floats:
    """Return the row of weights whose product with the effects is their robust centre."""
    if not inside.any():
        return np.zeros(stacked.size)
    return np.asarray(centre_weights(rows[inside] @ stacked) @ rows[inside])


def _common(
    crossed: Crossed,
    session: Ints,
    trusted: npt.NDArray[np.bool_],
    zero: Floats,
    stacked: Floats,
    shift: float,
    shared_u_c: float,
) -> Limits:
    """Return what all share against the probe: the centre of the sessions on the class's and box's zeros."""
    sessions = np.unique(session[trusted])
    if sessions.size == 0:
        return NOTHING
    values = crossed.sessions[sessions]
    value = huber_location(values).location + float(zero @ stacked) - shift
    own = max(madn(values), 0.05) / math.sqrt(sessions.size)
    half = 1.96 * math.sqrt(own**2 + float(zero @ crossed.covariance @ zero) + shared_u_c**2)
    return Limits(value, value - half, value + half)


def _spread(rest: Floats) -> float:
    """Return a team's spread over days [degC]; fewer than four readings show none."""
    return float(np.sqrt(np.mean(rest**2))) if rest.size >= 4 else math.nan


def _table(found: list[Limits], name: str) -> pd.DataFrame:
    rows = [(f.value, f.low, f.high) for f in found]
    return pd.DataFrame(rows, columns=[name, f"{name}_low", f"{name}_high"], dtype=np.float64)
