"""What a team does again and again, each habit with its own test, within one budget of false alarms."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt
from scipy.special import ndtr

from station.findings.evidence import SCATTER_C, Evidence
from station.findings.kinds import LOOKS_LIKE, Finding, State
from station.findings.mistakes import Causes, group_of
from station.findings.sequential import log_e, log_e_counts, log_limit, probability

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

#: Share of honest pairs in which F is C converted: 0.39 by simulation; careful pairs reach somewhat more.
CONVERTED_SHARE = 0.41
#: Least chance that an honest C ends in 0 or 5 although its neighbours don't.
ROUNDED_LEAST = 0.1
#: Share of values that end in 0 or 5 by themselves whose other scale ends in 0 by itself too.
SAME_TEN = 0.1
#: Readings on either side from which the present share of a habit is taken.
NEAR = 15
#: A team that does it in more than half of its cards does it nearly always: share, and as how many cards it
#: counts (guess).
ALWAYS, ALWAYS_CARDS = 0.9, 8.0
#: A trace is expected once in so many readings before the other teams have shown how often it comes.
OTHERS_PRIOR = 300.0
#: Chance that an honest reading below -1.5 degC loses its minus, and where that begins [degC].
MINUS_SHARE, MINUS_BELOW_C = 0.03, -1.5
#: Chance that an honest pair shows a column moved far.
MOVED_SHARE = 0.01
#: Slope on the classroom's gap: standard errors asked for, least mean excess [degC], which no honest team
#: reaches by chance, largest intercept [degC], fewest readings.
SLOPE_ERRORS, SLOPE_LEAST_C, INTERCEPT_C, FEWEST = 3.0, 0.5, 0.5, 8
#: Prior chance of any one habit in a team (guess).
PRIOR = 0.03
REPEATED = (
    "scales_swapped",
    "same_scale_twice",
    "ten_off",
    "counted_wrong_way",
    "digits_transposed",
    "minus_dropped",
    "copied_last_session",
)
#: Habits tested in each team, for the budget.
COUNT = len(REPEATED) + 4


@dataclass(frozen=True)
class Trace:
    """One team's readings in order of time with the running log e-value of one habit.

    ``usual``: chance that an honest reading shows the trace, and ``idle`` that the habit changes nothing;
    empty where a trace is a slip by itself.
    """

    rows: Ints
    shows: npt.NDArray[np.bool_]
    running: Floats
    usual: Floats = field(default_factory=lambda: np.zeros(0))
    idle: Floats = field(default_factory=lambda: np.zeros(0))

    def acted(self, piece: Ints) -> tuple[float, ...]:
        """Return, for each reading that shows the trace, the chance that the habit changed it.

        ``piece``: each reading's segment; coaching may have ended the habit, so that its share is taken from
        the readings around in the same segment.
        """
        if not self.usual.size:
            return ()
        mine = piece[self.rows]
        more, room = np.zeros(mine.size), np.zeros(mine.size)
        for code in np.unique(mine):
            part = mine == code
            more[part] = _around((self.shows - self.usual)[part])
            room[part] = _around(1.0 - self.usual[part])
        share = np.clip(more / np.maximum(room, 1e-9), 0.0, 1.0)
        always = (more + ALWAYS * ALWAYS_CARDS) / (room + ALWAYS_CARDS)
        share = np.where(share > 0.5, always, share)[self.shows]
        usual, idle = self.usual[self.shows], self.idle[self.shows]
        return tuple((share * (1.0 - idle) / (share + (1.0 - share) * usual)).tolist())


def _around(values: Floats) -> Floats:
    """Return the sum of each value and the ``NEAR`` values on either side."""
    total = np.concatenate(([0.0], np.cumsum(values)))
    at = np.arange(values.size)
    return np.asarray(total[np.minimum(at + NEAR + 1, values.size)] - total[np.maximum(at - NEAR, 0)])


def team_rows(e: Evidence, team: int) -> Ints:
    """Return the positions of a team's written readings in order of time."""
    mine = np.flatnonzero((e.team == team) & e.written)
    return mine[np.argsort(e.session[mine], kind="stable")]


def traces(e: Evidence, causes: Causes, usual_c: Floats, team: int) -> dict[str, Trace]:
    """Return the counting traces of every habit of one team."""
    rows = team_rows(e, team)
    out = {
        "converted_not_read": converted(e, rows),
        "rounded": rounded(e, rows, usual_c),
        "small_marks": _small_marks(e, causes, rows),
        "bulb_warmed": _moved(e, causes, rows),
    }
    for kind in REPEATED:
        out[kind] = _repeated(e, causes, rows, kind)
    return out


def pieces(piece: Ints, rows: Ints) -> list[Ints]:
    """Return a team's rows by segment, in order of time."""
    return [rows[piece[rows] == code] for code in dict.fromkeys(piece[rows].tolist())]


def findings(
    e: Evidence, causes: Causes, usual_c: Floats, team: int, piece: Ints, carried: bool
) -> list[Finding]:
    """Return the habits found in one team, most probable first.

    ``piece`` is each reading's segment between two changes of its team; ``usual_c`` its team's usual bias.
    """
    limit = log_limit(len(e.teams), COUNT)
    out: list[Finding] = []
    rows = team_rows(e, team)
    every = [read_too_soon(e, causes, part) for part in pieces(piece, rows)] if carried else []
    soon = [finding for finding in every if finding is not None]
    if soon:
        shown_soon = tuple(row for finding in soon for row in finding.rows)
        out.append(replace(max(soon, key=lambda f: f.probability), subject=e.teams[team], rows=shown_soon))
    for kind, trace in traces(e, causes, usual_c, team).items():
        if not trace.running.size:
            continue
        if kind == "bulb_warmed" and soon:
            continue
        best = float(trace.running.max())
        if best <= limit:
            continue
        shown = trace.rows[trace.shows]
        state: State = "clear" if best > limit + math.log(20.0) else "worth a look"
        group = _group(e, causes, kind, shown)
        p = probability(best, PRIOR)
        looks = LOOKS_LIKE.get(kind, ())
        more = 0 if state == "clear" else 3
        rows_shown = tuple(shown.tolist())
        out.append(
            Finding(kind, group, e.teams[team], state, p, rows_shown, looks, more, acted=trace.acted(piece))
        )
    return sorted(_without_echoes(out), key=lambda f: -f.probability)


def _without_echoes(found: list[Finding]) -> list[Finding]:
    """Drop a habit that only repeats another: rounding to fives looks converted near ten degrees."""
    kinds = {f.kind for f in found}
    drop = set()
    if "rounded" in kinds:
        drop |= {"converted_not_read", "copied_last_session"}
    if "minus_dropped" in kinds:
        drop |= {"counted_wrong_way"}
    return [f for f in found if f.kind not in drop]


def _group(e: Evidence, causes: Causes, kind: str, rows: Ints) -> str:
    if kind in ("ten_off", "counted_wrong_way", "small_marks"):
        on_c = causes.of(kind, "celsius")[rows].sum() >= causes.of(kind, "fahrenheit")[rows].sum()
        return group_of(kind, "celsius" if on_c else "fahrenheit")
    return group_of(kind, "")


def converted(e: Evidence, rows: Ints) -> Trace:
    """Return the trace of F being C converted instead of read."""
    both = np.isfinite(e.written_c[rows]) & np.isfinite(e.written_f[rows])
    # round values agree by themselves
    both &= ~((e.written_c[rows] % 5 == 0) & (e.written_f[rows] % 10 == 0))
    rows = rows[both]
    same = np.abs(e.written_f[rows] - (1.8 * e.written_c[rows] + 32.0)) <= 0.5 + 1e-9
    usual = np.full(rows.size, CONVERTED_SHARE)
    return Trace(rows, same, log_e_counts(same.astype(np.float64), usual), usual, np.zeros(rows.size))


def found(e: Evidence, trace: Trace) -> bool:
    """Tell whether a trace exceeds its share of the class's budget."""
    return bool(trace.running.size) and float(trace.running.max()) > log_limit(len(e.teams), COUNT)


def rounded(e: Evidence, rows: Ints, usual_c: Floats) -> Trace:
    """Return the trace of C ending in 0 or 5 (F in 0, where no C is written) more often than the air does."""
    on_c = bool(np.isfinite(e.written_c).any())
    written, step, degree, zero = (e.written_c, 5.0, 1.0, 0.0) if on_c else (e.written_f, 10.0, 1.8, 32.0)
    rows = rows[np.isfinite(written[rows]) & np.isfinite(e.expected[rows])]
    mean = (e.expected[rows] + usual_c[rows]) * degree + zero
    spread = np.sqrt(e.u[rows] ** 2 + 0.25**2 + SCATTER_C**2) * degree
    half = (e.c_mark if on_c else e.f_mark)[rows] * degree / 2.0
    nearest = np.round(mean / step) * step
    chance = np.zeros(rows.size)
    for mark in (nearest - step, nearest, nearest + step):
        chance += ndtr((mark + half - mean) / spread) - ndtr((mark - half - mean) / spread)
    shows = written[rows] % step == 0
    usual = np.clip(chance, ROUNDED_LEAST, 0.95)
    return Trace(rows, shows, log_e_counts(shows.astype(np.float64), usual), usual, SAME_TEN * usual)


def _small_marks(e: Evidence, causes: Causes, rows: Ints) -> Trace:
    p = causes.likelihood
    halved = np.logaddexp(p["small_marks", "celsius"][rows], p["small_marks", "fahrenheit"][rows])
    honest = p["", ""][rows]
    free = np.logaddexp(p["unexplained", "celsius"][rows], p["unexplained", "fahrenheit"][rows])
    usual = np.logaddexp(honest + math.log(0.9), free + math.log(0.1))
    for kind in ("ten_off", "counted_wrong_way"):
        for side in ("celsius", "fahrenheit"):
            usual = np.logaddexp(usual, p[kind, side][rows] + math.log(0.02))
    ratio = np.exp(np.clip(halved - usual, -50.0, 50.0))
    shows = causes.of("small_marks")[rows] > 0.5
    return Trace(rows, shows, log_e(ratio, np.ones(rows.size)))


def _moved(e: Evidence, causes: Causes, rows: Ints) -> Trace:
    rows = rows[~e.quiet[rows]]
    shows = causes.of("column", "up")[rows] > 0.5
    return Trace(rows, shows, log_e_counts(shows.astype(np.float64), _usual(e, causes, rows, "column", "up")))


def _repeated(e: Evidence, causes: Causes, rows: Ints, kind: str) -> Trace:
    if kind == "minus_dropped":
        rows = rows[e.expected[rows] < MINUS_BELOW_C]
    shows = causes.of(kind)[rows] > 0.5
    usual = MINUS_SHARE if kind == "minus_dropped" else _usual(e, causes, rows, kind, None)
    return Trace(rows, shows, log_e_counts(shows.astype(np.float64), usual))


def _usual(e: Evidence, causes: Causes, rows: Ints, kind: str, side: str | None) -> float:
    """Return a trace's chance in a reading of nobody's pattern, learnt from the other teams.

    The team in which it shows most is left out, since it may have a pattern of its own.
    """
    if not rows.size:
        return 1.0 / OTHERS_PRIOR
    mine = e.team[rows[0]]
    others = e.written & (e.team != mine)
    shows = np.bincount(e.team[others], weights=causes.of(kind, side)[others] > 0.5, minlength=len(e.teams))
    seen = np.bincount(e.team[others], minlength=len(e.teams))
    most = int(np.argmax(shows))
    count, readings = shows.sum() - shows[most], seen.sum() - seen[most]
    least = MOVED_SHARE if kind == "column" else 0.0
    return max(float((1.0 + count) / (OTHERS_PRIOR + readings)), least)


def follows_gap(e: Evidence, causes: Causes, rows: Ints) -> Ints:
    """Return the readings whose excess can be held against the classroom's gap: no slips, no doubt."""
    slip = 1.0 - causes.honest[rows] - causes.of("column")[rows]
    return rows[(slip < 0.5) & ~e.quiet[rows] & np.isfinite(e.expected[rows]) & (e.u[rows] < 2.0)]


def read_too_soon(e: Evidence, causes: Causes, rows: Ints) -> Finding | None:
    """Return the finding that a team's excess grows with the classroom's gap, or None.

    The excess is what both scales tell against the class's centre; slips are left out. Where minutes waited
    are written, the gap that a first-order lag leaves after them takes the place of the gap.
    """
    mine = follows_gap(e, causes, rows)
    if mine.size < FEWEST:
        return None
    y = e.column[mine] - e.expected[mine]
    x = e.gap[mine]
    line = robust_line(x, y)
    if line is None:
        return None
    intercept, slope, intercept_error, slope_error = line
    fitted = slope * x
    typical = float(np.median(fitted))
    follows = float(np.mean(y > 0.35 * fitted))
    ok = (
        slope > SLOPE_ERRORS * slope_error
        and typical >= SLOPE_LEAST_C
        and abs(intercept) <= INTERCEPT_C + 2.0 * intercept_error
        and follows >= 0.8
    )
    if not ok:
        return None
    errors = slope / slope_error
    state: State = "clear" if errors > SLOPE_ERRORS + 2.0 else "worth a look"
    p = probability(0.5 * errors**2 - math.log(100.0), PRIOR)
    return Finding(
        "read_too_soon", "column", "", state, p, tuple(mine.tolist()), LOOKS_LIKE["read_too_soon"],
        0 if state == "clear" else 4, typical,
    )  # fmt: skip


def robust_line(x: Floats, y: Floats) -> tuple[float, float, float, float] | None:
    """Return intercept, slope and their standard errors by Huber weights; None where x hardly varies."""
    if x.size < 4 or float(np.std(x)) < 0.5:
        return None
    design = np.column_stack((np.ones(x.size), x))
    weight = np.ones(x.size)
    for _ in range(12):
        left = design.T @ (weight[:, None] * design)
        coefficients = np.linalg.solve(left, design.T @ (weight * y))
        rest = y - design @ coefficients
        spread = max(1.4826 * float(np.median(np.abs(rest))), 0.3)
        weight = np.minimum(1.0, 1.5 * spread / np.maximum(np.abs(rest), 1e-9))
    inverse = np.linalg.inv(design.T @ (weight[:, None] * design))
    errors = spread * np.sqrt(np.diag(inverse))
    return float(coefficients[0]), float(coefficients[1]), float(errors[0]), float(errors[1])
