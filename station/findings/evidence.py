"""What every finding looks at: readings as arrays, and where an honest column should have stood.

The expected column of a reading is the centre of its session plus the known offset of its thermometer. The
centre joins what the class read (robustly) with the reference plus what all share against the probe, each
by its own uncertainty, so it stands without a probe and survives a session in which many slipped.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from station.base.robust import huber_location, madn
from station.record.model import Thermometer

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]

#: Standard deviation of one reading of one scale about the column, before rounding [degC] (as in error.py).
SCATTER_C = 0.35
#: Spread of one honest indication about its session's centre: scatter, rounding, small habits [degC].
HONEST_C = 0.5
#: Uncertainty of an unknown thermometer's offset [degC]: the usual spread of a box.
UNKNOWN_OFFSET_C = 0.5
#: Uncertainty where nothing tells where the column stood [degC].
NOTHING_C = 15.0
#: So many readings that agree outweigh a reference they all miss.
AGREEING = 6
#: Least uncertainty of a session's own reference against the class [degC]: place and moment.
OWN_LEAST_C = 0.2


@dataclass(frozen=True)
class Evidence:
    """Arrays over the readings, shape (n,), in the order of the file; degC unless said.

    ``c`` and ``f``: both scales as degC, the number's own plate slip taken out of ``f``; ``written_c`` and
    ``written_f`` as written (degF for the latter); NaN where missing. ``c_mark, f_mark``: one mark as degC.
    ``c_numbered`` degC and ``f_numbered`` degF between numbered marks. ``team, session, number``: codes
    (number -1 unknown); ``sessions``: keys in order of time. By session: ``told`` and ``told_u``, what the
    reference alone says (common part added, NaN without one), ``centre`` and ``centre_u``, what class and
    reference say.
    ``offset`` of the thermometer, 0 where unknown; ``expected`` and its ``u``: the honest column;
    ``reference`` of the session the reading belongs to, NaN where none; ``gap``: classroom minus air;
    ``waited`` minutes; ``previous``: position of the team's reading before this one, -1 none; ``quiet``:
    the session is in doubt and nobody is named from it. ``plates``: slips of the F plates known in the box,
    which an unnumbered thermometer may have.
    """

    written_c: Floats
    written_f: Floats
    c: Floats
    f: Floats
    c_mark: Floats
    f_mark: Floats
    c_numbered: Floats
    f_numbered: Floats
    team: Ints
    teams: tuple[str, ...]
    number: Ints
    numbers: tuple[str, ...]
    session: Ints
    sessions: tuple[tuple[object, str], ...]
    told: Floats
    told_u: Floats
    centre: Floats
    centre_u: Floats
    offset: Floats
    expected: Floats
    u: Floats
    reference: Floats
    gap: Floats
    waited: Floats
    previous: Ints
    quiet: Bools
    plates: tuple[float, ...]

    @property
    def written(self) -> Bools:
        """Tell which readings hold a value at all."""
        return np.isfinite(self.c) | np.isfinite(self.f)

    @property
    def column(self) -> Floats:
        """Return the column as both scales tell it together [degC]; one scale where only one was read."""
        wc = np.where(np.isfinite(self.c), 1.0 / (SCATTER_C**2 + self.c_mark**2 / 12.0), 0.0)
        wf = np.where(np.isfinite(self.f), 1.0 / (SCATTER_C**2 + self.f_mark**2 / 12.0), 0.0)
        total = wc * np.nan_to_num(self.c) + wf * np.nan_to_num(self.f)
        return np.asarray(np.divide(total, wc + wf, out=np.full(total.size, math.nan), where=wc + wf > 0))


def records(frame: pd.DataFrame) -> list[Any]:
    """Return the rows of a table as named tuples."""
    return list(frame.itertuples(index=False))


def codes(labels: pd.Series, known: Sequence[str]) -> Ints:
    """Return each label's position in ``known``, -1 where it is not there."""
    index = {label: i for i, label in enumerate(known)}
    return np.array([index.get(label, -1) for label in labels], dtype=np.int64)


def session_keys(readings: pd.DataFrame, parts: tuple[str, ...]) -> list[tuple[object, str]]:
    """Return the sessions of the readings in order of time."""
    order = {part: i for i, part in enumerate(parts)}
    pairs = set(zip(readings["date"], readings["session"], strict=True))
    return sorted(pairs, key=lambda key: (key[0], order.get(key[1], len(order)), key[1]))


def gather(
    readings: pd.DataFrame,
    thermometers: pd.DataFrame,
    describe: Callable[[str], Thermometer],
    parts: tuple[str, ...],
    references: Mapping[tuple[object, str], tuple[float, float]],
    *,
    indoor_c: float,
    shared_u_c: float,
    quiet: frozenset[tuple[object, str]] = frozenset(),
    moved: Mapping[int, tuple[object, str]] | None = None,
    whose: tuple[str, ...] | None = None,
) -> Evidence:
    """Join readings, thermometers and references into arrays.

    Parameters
    ----------
    readings : DataFrame
        READINGS columns plus ``offset`` (of the thermometer, NaN unknown).
    thermometers : DataFrame
        ``number, scale_difference, slipped``.
    describe : callable
        The description of a thermometer by its number.
    parts : tuple of str
        Parts of the day in order.
    references : mapping
        (date, part) -> reference [degC] and its standard uncertainty [degC]; sessions without one are absent.
    indoor_c, shared_u_c : float
        The classroom; the part of the reference's uncertainty that all sessions share [degC].
    quiet : frozenset
        Sessions in doubt.
    moved : mapping, optional
        Positions of readings whose card belongs to another session.
    whose : tuple of str, optional
        Team labels in order; those of the readings when not given.

    Returns
    -------
    Evidence
    """
    keys = session_keys(readings, parts)
    own = list(zip(readings["date"], readings["session"], strict=True))
    for row, key in (moved or {}).items():
        own[row] = key
    keys += sorted({key for key in own if key not in set(keys)}, key=str)
    index = {key: i for i, key in enumerate(keys)}
    session = np.array([index[key] for key in own], dtype=np.int64)
    teams = whose or tuple(sorted(readings["team"].unique()))
    team = codes(readings["team"], teams)
    numbers = tuple(sorted(n for n in readings["thermometer"].unique() if n))
    number = codes(readings["thermometer"], numbers)
    described = {n: describe(n) for n in readings["thermometer"].unique()}
    boxes = [described[n] for n in readings["thermometer"]]
    plate = thermometers.set_index("number")
    slip = plate["scale_difference"].where(plate["slipped"], 0.0)
    written_c = readings["celsius"].to_numpy(np.float64)
    written_f = readings["fahrenheit"].to_numpy(np.float64)
    f = (written_f - 32.0) / 1.8 + readings["thermometer"].map(slip).fillna(0.0).to_numpy(np.float64)
    offset = readings["offset"].to_numpy(np.float64)
    indication = np.where(np.isfinite(written_c), written_c, f)
    reference = np.array([references.get(key, (math.nan, math.nan))[0] for key in keys])
    u_reference = np.array([references.get(key, (math.nan, math.nan))[1] for key in keys])
    own_u = np.sqrt(np.maximum(u_reference**2 - shared_u_c**2, OWN_LEAST_C**2))
    told, centre, centre_u = centres(indication - np.nan_to_num(offset), session, reference, own_u)
    unknown = np.where(np.isfinite(offset), 0.0, UNKNOWN_OFFSET_C)
    return Evidence(
        written_c=written_c,
        written_f=written_f,
        c=written_c,
        f=f,
        c_mark=np.array([b.celsius_division for b in boxes], dtype=np.float64),
        f_mark=np.array([b.fahrenheit_division / 1.8 for b in boxes], dtype=np.float64),
        c_numbered=np.array([b.celsius_numbered for b in boxes], dtype=np.float64),
        f_numbered=np.array([b.fahrenheit_numbered for b in boxes], dtype=np.float64),
        team=team,
        teams=teams,
        number=number,
        numbers=numbers,
        session=session,
        sessions=tuple(keys),
        told=told,
        told_u=own_u,
        centre=centre,
        centre_u=centre_u,
        offset=np.nan_to_num(offset),
        expected=centre[session] + np.nan_to_num(offset),
        u=np.hypot(centre_u[session], unknown),
        reference=reference[session],
        gap=indoor_c - centre[session],
        waited=readings["waited"].to_numpy(np.float64),
        previous=_previous(team, session, np.isfinite(indication)),
        quiet=np.array([key in quiet for key in keys], dtype=bool)[session],
        plates=tuple(float(v) for v in slip[slip != 0.0]),
    )


def centres(value: Floats, session: Ints, reference: Floats, own_u: Floats) -> tuple[Floats, Floats, Floats]:
    """Return what the reference tells of each session, its centre and the centre's uncertainty [degC].

    ``value`` are indications without their offsets; ``reference`` and ``own_u`` are by session. Where class
    and reference disagree, or the class is spread widely, the uncertainty grows, so that nobody is judged
    by a doubtful centre.
    """
    groups = [value[(session == s) & np.isfinite(value)] for s in range(reference.size)]
    middle = np.array([np.median(mine) if mine.size >= 4 else math.nan for mine in groups])
    apart = (middle - reference)[np.isfinite(middle - reference)]
    common = huber_location(apart).location if apart.size else 0.0
    told = reference + common
    # two or three readings make a poor centre, but with the doubt of none at all their scales can be compared
    few = np.array([np.median(mine) if mine.size else math.nan for mine in groups])
    centre = np.where(np.isfinite(told), told, few)
    u = np.where(np.isfinite(told), own_u, NOTHING_C)
    for s, mine in enumerate(groups):
        start = 1.0 / own_u[s] ** 2 if np.isfinite(told[s]) else 0.0
        if mine.size < 4 or not np.isfinite(centre[s]):
            continue
        prior = centre[s]
        gap = abs(middle[s] - told[s]) if np.isfinite(told[s]) else 0.0
        apart_far = gap > 3.0 * math.hypot(own_u[s], HONEST_C / math.sqrt(mine.size))
        if apart_far and mine.size >= AGREEING and madn(mine) < 2.0 * HONEST_C:
            # the class agrees with itself and not with the probe: readings are judged by the class alone
            start, prior = 0.0, middle[s]
            centre[s] = prior
        for _ in range(10):
            weight = 1.0 / np.maximum(np.abs(mine - centre[s]) / (2.0 * HONEST_C), 1.0) ** 2
            precision = weight.sum() / HONEST_C**2
            centre[s] = (precision * np.average(mine, weights=weight) + start * prior) / (precision + start)
        variance = 1.0 / (precision + start) + 0.1**2
        variance += max(madn(mine) ** 2 - (1.5 * HONEST_C) ** 2, 0.0)
        if apart_far and start > 0.0:
            variance += (gap / 2.0) ** 2
        u[s] = math.sqrt(variance)
    return told, centre, u


def _previous(team: Ints, session: Ints, written: Bools) -> Ints:
    """Return the position of the same team's reading in its session before; -1 where there is none."""
    out = np.full(team.size, -1, dtype=np.int64)
    last: dict[int, int] = {}
    for row in np.lexsort((np.arange(team.size), session)):
        if not written[row]:
            continue
        before = last.get(int(team[row]), -1)
        if before >= 0 and session[before] != session[row]:
            out[row] = before
        last[int(team[row])] = int(row)
    return out
