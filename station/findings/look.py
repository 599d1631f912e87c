"""The order of decision on one page: form, batches, clock, the number's own faults, slips, column, teams."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
import pandas as pd

from station.findings import habits as habit_tests
from station.findings import sessions as session_rules
from station.findings import teams as team_rules
from station.findings import thermometers as tube_rules
from station.findings.causes import cause_table
from station.findings.changes import Change, Side, after_change
from station.findings.clock import Shift, clock_shifts
from station.findings.evidence import Evidence, gather, records
from station.findings.kinds import Finding
from station.findings.misdated import wrong_dates
from station.findings.mistakes import Causes
from station.findings.question import Question
from station.findings.rematch import Match, crossed_days, moved
from station.findings.usual import Usual, learn

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Key = tuple[object, str]

#: Uncertainty of a reference read from the record at a shifted time, beside what all share [degC].
SHIFTED_C = 0.3


@dataclass(frozen=True)
class Findings:
    """Everything found.

    ``causes``: DataFrame ``row, kind, group, probability`` (rows by position, most probable first);
    ``teams`` and ``thermometers``: findings by label; ``team_states``, ``thermometer_states``; ``sharing``:
    the class-level finding or None; ``moves``: cards under another session; ``clock``: suspected shifts;
    ``notes``: session -> kinds; ``changes``: what came of coaching and new pairs.
    """

    causes: pd.DataFrame
    teams: Mapping[str, tuple[Finding, ...]]
    team_states: Mapping[str, str]
    thermometers: Mapping[str, tuple[Finding, ...]]
    thermometer_states: Mapping[str, str]
    sharing: Finding | None
    moves: tuple[Match, ...]
    clock: tuple[Shift, ...]
    notes: Mapping[Key, tuple[str, ...]]
    changes: tuple[Change, ...]


def look(q: Question) -> Findings:
    """Go through the order of decision once."""
    references, quiet = dict(q.references), set(q.quiet)

    def evidence(moves: tuple[Match, ...], offset: Floats | None = None) -> Evidence:
        readings = q.readings if offset is None else q.readings.assign(offset=offset)
        return gather(
            readings, q.thermometers, q.describe, q.parts, references, indoor_c=q.indoor_c,
            shared_u_c=q.shared_u_c, quiet=frozenset(quiet), moved=moved(moves),
        )  # fmt: skip

    e = evidence(())
    bias, piece = _segments(q)
    moves = crossed_days(e)
    e = evidence(moves)
    shifts = _clock(q, e, bias)
    if shifts:
        # whose pile it is can be told by the record as the suspected clock would have it
        references.update(_shifted(q, e, shifts))
        moves = crossed_days(evidence(()))
        e = evidence(moves)
    for key in e.sessions:
        if any(shift.first <= key[0] <= shift.last for shift in shifts):  # type: ignore[operator]
            references.pop(key, None)
            quiet.add(key)
    whole = session_rules.whole_class(evidence(moves))
    quiet |= set(whole)
    e = evidence(moves)

    spread = q.readings["team"].map(q.teams.set_index("team")["spread"]).to_numpy(np.float64)
    common = Usual.of_teams(e, bias, spread, piece)
    causes = common.causes(e)
    moves += wrong_dates(e, causes.marginal, bias)
    e = evidence(moves)
    e, causes, known = learn(e, common, piece, q.carried)
    clean = causes.honest + causes.of("column") > 0.5
    steps = tube_rules.steps(e, known.bias, clean)
    if steps:
        e = evidence(moves, tube_rules.stepped_offsets(e, q.readings["offset"].to_numpy(np.float64), steps))
        e, causes, known = learn(e, common, piece, q.carried)

    by_team, changes = _teams(q, e, causes, known, piece)
    tubes = tube_rules.findings(e, q.thermometers, steps)
    by_tube = {n: tuple(f for f in tubes if f.subject == n) for n in q.thermometers["number"]}
    sharing = session_rules.same_numbers(e)
    retired = {n: q.describe(n).retired for n in e.numbers}
    troubles = session_rules.number_troubles(e, q.readings, {n: d for n, d in retired.items() if d})
    return Findings(
        causes=cause_table(e, causes, moves, by_team, by_tube, troubles, q.carried),
        teams=by_team,
        team_states={
            row.team: team_rules.state(by_team[row.team], row.readings, row.separable)
            for row in records(q.teams)
        },
        thermometers=by_tube,
        thermometer_states={
            row.number: tube_rules.state(row, by_tube[row.number], _users(e, row.number))
            for row in records(q.thermometers)
        },
        sharing=sharing,
        moves=moves,
        clock=shifts,
        notes=_notes(moves, whole, shifts, e),
        changes=changes,
    )


def _segments(q: Question) -> tuple[Floats, Ints]:
    """Return each reading's usual bias from its team's segment [degC], 0 where not known, and the segment."""
    bias, piece = np.zeros(len(q.readings)), np.full(len(q.readings), -1, dtype=np.int64)
    team, date = q.readings["team"].to_numpy(), q.readings["date"].to_numpy()
    for code, segment in enumerate(records(q.segments.rename(columns={"from": "start"}))):
        mine = (team == segment.team) & (date >= segment.start) & (date <= segment.to)
        piece[mine] = code
        bias[mine] = segment.bias if math.isfinite(segment.bias) else 0.0
    return bias, piece


def _clock(q: Question, e: Evidence, bias: Floats) -> tuple[Shift, ...]:
    """Match the class's middle with the record shifted."""
    value = e.column - e.offset - bias
    middle = np.full(len(e.sessions), math.nan)
    for s in range(middle.size):
        mine = value[(e.session == s) & np.isfinite(value)]
        if mine.size >= 4:
            middle[s] = np.median(mine)
    keys = e.sessions
    dates = [key[0] for key in keys]
    return clock_shifts(
        dates,  # type: ignore[arg-type]
        [key[1] for key in keys],
        middle,
        lambda s, minutes: q.record_at(keys[s][0], keys[s][1], minutes),  # type: ignore[arg-type]
    )


def _shifted(q: Question, e: Evidence, shifts: tuple[Shift, ...]) -> dict[Key, tuple[float, float]]:
    """Return the references of sessions with a suspected clock, read from the record where it puts them."""
    out = {}
    for date, part in e.sessions:
        for shift in shifts:
            if shift.first <= date <= shift.last:  # type: ignore[operator]
                value = q.record_at(date, part, -shift.shift_minutes)  # type: ignore[arg-type]
                if math.isfinite(value):
                    out[date, part] = value, math.hypot(q.shared_u_c, SHIFTED_C)
    return out


def _teams(
    q: Question, e: Evidence, causes: Causes, known: Usual, piece: Ints
) -> tuple[dict[str, tuple[Finding, ...]], tuple[Change, ...]]:
    by_team: dict[str, tuple[Finding, ...]] = {}
    changes: list[Change] = []
    slips = 1.0 - causes.honest - causes.of("column")
    apart = set(q.teams.loc[q.teams["separable"].astype(bool), "team"])
    for code, team in enumerate(e.teams):
        found = habit_tests.findings(e, causes, known.bias, code, piece, q.carried)
        if not {f.kind for f in found} & {"read_too_soon", "bulb_warmed", "rounded"}:
            found += _biases(q, e, slips, code)
        if team not in apart:
            found = [f for f in found if f.group not in team_rules.THERMOMETER_TOO]
        by_team[team] = tuple(found)
        for sides, date, why in _sides(q, e, code, piece):
            changes += after_change(e, causes, known.bias, found, sides, date, why)
    return by_team, tuple(changes)


def _sides(
    q: Question, e: Evidence, code: int, piece: Ints
) -> Iterator[tuple[tuple[Side, Side], dt.date, str]]:
    """Yield each change of a team with its segments next to it; two of one date count as the first."""
    rows = habit_tests.team_rows(e, code)
    when = np.array([key[0] for key in e.sessions], dtype=object)[e.session[rows]]
    segments = records(q.segments)
    own = q.changes[q.changes["team"] == e.teams[code]].drop_duplicates("date").sort_values("date")
    for date, why in own[["date", "change"]].itertuples(index=False):
        before, after = rows[when < date], rows[when >= date]
        if not before.size:
            continue
        last = int(piece[before[-1]])
        first = int(piece[after[0]]) if after.size else -1
        sides = (
            Side(rows[piece[rows] == last], segments[last]),
            Side(after[piece[after] == first], segments[first] if after.size else None),
        )
        yield sides, date, why


def _biases(q: Question, e: Evidence, slips: Floats, code: int) -> list[Finding]:
    rows = habit_tests.team_rows(e, code)
    when = np.array([key[0] for key in e.sessions], dtype=object)[e.session]
    keep = rows[(slips[rows] < 0.5) & (e.number[rows] >= 0) & ~e.quiet[rows] & np.isfinite(e.reference[rows])]
    out = []
    own = q.segments[q.segments["team"] == e.teams[code]].rename(columns={"from": "start"})
    for segment in records(own):
        mine = keep[(when[keep] >= segment.start) & (when[keep] <= segment.to)]
        finding = team_rules.steady_bias(e, segment, mine, (e.column - e.expected)[mine])
        if finding is not None:
            out.append(finding)
    if len(out) > 1:
        rows_all = tuple(row for finding in out for row in finding.rows)
        strongest = max(out, key=lambda f: f.probability)
        return [replace(strongest, rows=rows_all)]
    return out


def _users(e: Evidence, number: str) -> int:
    if number not in e.numbers:
        return 0
    return int(np.unique(e.team[(e.number == e.numbers.index(number)) & e.written]).size)


def _notes(
    moves: tuple[Match, ...], whole: tuple[Key, ...], shifts: tuple[Shift, ...], e: Evidence
) -> dict[Key, tuple[str, ...]]:
    notes: dict[Key, list[str]] = {}
    for match in moves:
        notes.setdefault(match.typed, []).append(match.kind)
    for key in whole:
        notes.setdefault(key, []).append("whole_class")
    for key in e.sessions:
        if any(shift.first <= key[0] <= shift.last for shift in shifts):  # type: ignore[operator]
            notes.setdefault(key, []).append("clock_shift")
    return {key: tuple(dict.fromkeys(kinds)) for key, kinds in notes.items()}
